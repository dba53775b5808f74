"""Everything that is fitted rather than stated: concentrations, rates, years. Renewed by `learn`, never by an edit."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from functools import cached_property
from pathlib import Path
from typing import Any

from footring.reasoning.channels.rates import Rates
from footring.terms.errors import BadInput
from footring.terms.tables import read_table


@dataclass(frozen=True, slots=True)
class Levels:
    """How strongly each share leans on its parent: Dirichlet concentrations in pieces, Pitman-Yor discounts 0 to 1.

    Parameters
    ----------
    line, form : float
        p(line) on even shares; p(form | line) on even shares among its forms.
    cell, cell_discount : float
        p(treatment | line, form) on p(treatment | line).
    treatment, treatment_discount : float
        p(treatment | line) on the product of its parts.
    table_power : float
        n pieces of a cell count for n to this power in p(treatment | line): 0 is one table each, 1 every piece.
    body, glaze, decoration, decoration_of_line, trim, trim_of_line : float
        p(body | line, form) on p(body | line); p(glaze | line) on p(glaze); p(decoration | line, glaze) on
        p(decoration | line); that on p(decoration); p(trim | line, decoration) on p(trim | line); that on p(trim).
    thing : float
        What each thing that the reference holds counts for in p(glaze), p(decoration) and p(trim), in treatments.
    new : float
        Share of a part that the reference does not hold yet.
    """

    line: float
    form: float
    cell: float
    cell_discount: float
    treatment: float
    treatment_discount: float
    table_power: float
    body: float
    glaze: float
    decoration: float
    decoration_of_line: float
    trim: float
    trim_of_line: float
    thing: float
    new: float


@dataclass(frozen=True)
class Parameters:
    """Fitted parameters, a value of its own with a digest.

    Parameters
    ----------
    levels : Levels
        How the shares of cells back off.
    outside : float
        Prior of a maker or line that the reference does not hold.
    document : float
        Pieces that a document of a fully reliable source counts for.
    window_trust : float
        How far the years of a document are believed that is believed itself.
    channels : mapping of channel id to float
        What a piece met through a selected channel counts for, 0 to 1; "" for a channel not named.
    sister_number, reused_number : float
        Share of numbers that are a sister line's, or re-used for something else of the line.
    unnumbered, unnumbered_else : mapping of line id to float
        Share of pieces without a number, where the reference has one for the treatment, and where it has none.
    dated : mapping of "line", "line/decoration" or "line//form" to mapping of year to float
        Dated pieces by span of years that begins there.
    rates : Rates
        How readers misread.
    """

    levels: Levels
    outside: float
    document: float
    window_trust: float
    channels: Mapping[str, float]
    sister_number: float
    reused_number: float
    unnumbered: Mapping[str, float]
    unnumbered_else: Mapping[str, float]
    dated: Mapping[str, Mapping[int, float]] = field(default_factory=dict)
    rates: Rates = field(default_factory=Rates)

    @cached_property
    def digest(self) -> str:
        """Changes with any value."""
        return hashlib.blake2b(json.dumps(self.to_json(), sort_keys=True).encode(), digest_size=16).hexdigest()

    def to_json(self) -> dict[str, Any]:
        """Plain values, for a file."""
        plain = {f.name: getattr(self, f.name) for f in fields(self)}
        return plain | {"levels": asdict(self.levels), "rates": self.rates.to_json()}

    @staticmethod
    def from_json(plain: Mapping[str, Any]) -> Parameters:
        """From what `to_json` gave.

        Raises
        ------
        BadInput
            If a name is missing or not known.
        """
        try:
            dated = {key: {int(year): float(n) for year, n in of.items()} for key, of in plain["dated"].items()}
            given = dict(plain) | {
                "levels": Levels(**plain["levels"]), "rates": Rates.from_json(plain["rates"]), "dated": dated,
            }  # fmt: skip
            return Parameters(**given)
        except (AttributeError, KeyError, TypeError, ValueError) as error:
            raise BadInput(f"these are no parameters that footring learn wrote: {error!r}") from error


def default_parameters() -> Parameters:
    """What is believed before anything was learned (`tables/parameters.csv`).

    Examples
    --------
    >>> default_parameters().outside
    0.02
    """
    value = {row["what"]: float(row["value"]) for row in read_table("footring.reasoning", "parameters.csv")}
    levels = Levels(**{f.name: value[f.name] for f in fields(Levels)})
    return Parameters(
        levels, value["outside"], value["document"], value["window_trust"], {"": value["selected_channel"]},
        value["sister_number"], value["reused_number"],
        {"": value["unnumbered"]}, {"": value["unnumbered_else"]},
    )  # fmt: skip


def read_parameters(path: str | Path) -> Parameters:
    """Parameters from a file that `footring learn` wrote.

    Raises
    ------
    BadInput
        If the file cannot be read or holds something else.
    """
    try:
        return Parameters.from_json(json.loads(Path(path).read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise BadInput(f"cannot read the parameters {path}: {error}") from error


def parameters_beside(pack: str | Path) -> Path:
    """Where the parameters of a pack are kept: beside it, under its name.

    Examples
    --------
    >>> parameters_beside("packs/ossel").name
    'ossel.parameters.json'
    """
    path = Path(pack)
    return path.with_name(f"{path.name}.parameters.json")
