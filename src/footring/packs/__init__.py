"""A pack on disk, in a zip or in a workbook <-> rows."""

from footring.packs.faults import PackFault, PackFaults
from footring.packs.limits import Limits
from footring.packs.pack import Pack, Places
from footring.packs.read import check_pack, load_pack, read_pack
from footring.packs.write import write_pack

__all__ = ["Limits", "Pack", "PackFault", "PackFaults", "Places", "check_pack", "load_pack", "read_pack", "write_pack"]
