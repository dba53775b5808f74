"""What was met, examined, kept and told."""

from __future__ import annotations

from footring.rows.base import Statement, Thing, entry, one_of, quantity, ref, ref_in, share, table, when


@table("people")
class Person(Thing):
    """A person or firm one has to do with."""

    name: str


@table("places")
class Place(Thing):
    """A town, fair, room, shelf or box; each may stand inside another."""

    name: str
    within: str | None = ref("places")


@table("instruments")
class Instrument(Thing):
    """What readings are taken with, and its standard uncertainty in millimetres where it measures lengths."""

    name: str
    uncertainty_mm: float | None = quantity()


@table("channels")
class Channel(Thing):
    """A way of meeting pieces. `selected`: someone chose what to show or write down, so it counts with a factor."""

    name: str
    selected: bool = entry(required=True)


@table("outings")
class Outing(Thing):
    """A day at a fair or sale.

    `logged` is what was written down: everything on a table, everything of the lines named in `outing_lines`, or
    what caught the eye. Only the first two feed rates.
    """

    held: str | None = when()
    place: str | None = ref("places")
    channel: str | None = ref("channels")
    logged: str = one_of("everything", "lines", "caught_eye", required=True)
    hours: float | None = quantity()


@table("outing_lines")
class OutingLine(Thing):
    """A line of which everything on the table was written down at an outing."""

    outing: str = ref("outings", required=True, key=True)
    line: str = ref("lines", required=True, key=True)


@table("pieces")
class Piece(Thing):
    """An object. `place` is where it is put away."""

    name: str | None = None
    owner: str | None = ref("people")
    place: str | None = ref("places")


@table("parts")
class Part(Thing):
    """A part of a piece that is examined apart (lid, base)."""

    piece: str = ref("pieces", required=True, key=True)
    name: str = entry(required=True, key=True)


@table("encounters")
class Encounter(Thing):
    """A piece met on a day, at an outing or otherwise."""

    piece: str = ref("pieces", required=True)
    met: str | None = when()
    channel: str | None = ref("channels")
    outing: str | None = ref("outings")
    place: str | None = ref("places")


@table("letters")
class Letter(Thing):
    """A letter received or sent; an answer names what it answers."""

    sender: str | None = ref("people")
    receiver: str | None = ref("people")
    written: str | None = when()
    answers: str | None = ref("letters")
    subject: str | None = None


@table("talks")
class Talk(Thing):
    """A talk given or to be given."""

    title: str
    held: str | None = when()
    place: str | None = ref("places")


@table("photographs")
class Photograph(Thing):
    """A photograph, its file known by the SHA-256 of its bytes.

    `position` is where somebody put it among those of its piece, from 1; those without one follow by their side.
    """

    sha256: str = entry(required=True, key=True)
    piece: str | None = ref("pieces")
    part: str | None = ref("parts")
    letter: str | None = ref("letters")
    side: str | None = None
    taken: str | None = when()
    credit: str | None = None
    permission: str | None = None
    position: int | None = quantity()


@table("readings")
class Reading(Statement):
    """One thing read or measured off a piece or part.

    `sure` is the reader's probability that the value is right, `uncertainty` its standard uncertainty in the unit
    of `name`. `absent`: looked for and not there; what was not looked at has no reading.
    """

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    name: str
    value: str | None = None
    absent: bool = False
    sure: float | None = share()
    uncertainty: float | None = quantity()
    instrument: str | None = ref("instruments")
    photograph: str | None = ref("photographs")
    read_by: str | None = ref("people")


@table("corrections")
class Correction(Statement):
    """A reading found to be wrong, and what it should have been; misreadings are learned from these."""

    reading: str = ref("readings", required=True, key=True)
    value: str | None = None
    reason: str | None = None


@table("findings")
class Finding(Statement):
    """What the reasoning made of a piece's readings, and with what knowledge."""

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    reference_digest: str
    parameter_digest: str | None = None
    version: str


@table("finding_answers")
class FindingAnswer(Statement):
    """One ranked answer of a finding. `outcome` other than "recorded" may leave the rest unknown."""

    finding: str = ref("findings", required=True, key=True)
    rank: int = entry(required=True, key=True)
    probability: float = share(required=True)
    outcome: str = one_of("recorded", "unrecorded", "outside", required=True)
    line: str | None = ref("lines")
    form: str | None = ref("forms")
    size: str | None = ref("sizes")
    body: str | None = ref("bodies")
    glaze: str | None = ref("glazes")
    decoration: str | None = ref("decorations")
    trim: str | None = ref("trims")


@table("attributions")
class Attribution(Statement):
    """A piece or part belongs to this cell of the reference, by so much.

    None in the cell is not known. A confirmed one is a person's; a proposed one comes from a finding.
    """

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    line: str = ref("lines", required=True)
    form: str | None = ref("forms")
    size: str | None = ref("sizes")
    body: str | None = ref("bodies")
    glaze: str | None = ref("glazes")
    decoration: str | None = ref("decorations")
    trim: str | None = ref("trims")
    mark_in_clay: str | None = ref("marks")
    mark_printed: str | None = ref("marks")
    customer: str | None = ref("customers")
    weight: float = share(required=True)
    basis: str = one_of("confirmed", "proposed", required=True)
    finding: str | None = ref("findings")


@table("rejections")
class Rejection(Statement):
    """A person says that a piece is not this, and why."""

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    subject_table: str
    subject: str = ref_in("subject_table")
    reason: str | None = None


@table("conditions")
class Condition(Statement):
    """One fault of the making, or one damage, and where on the piece it is."""

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    kind: str = one_of("making", "damage", required=True)
    what: str
    place: str | None = None


@table("prices")
class Price(Statement):
    """An amount asked or paid. Asked prices are not sales."""

    piece: str = ref("pieces", required=True)
    kind: str = one_of("asked", "sold", required=True)
    amount: float = quantity(required=True)
    currency: str
    dated: str | None = when()
    channel: str | None = ref("channels")
    place: str | None = ref("places")


@table("acquisitions")
class Acquisition(Statement):
    """How a piece came into the collection."""

    piece: str = ref("pieces", required=True)
    how: str = one_of("bought", "given", "inherited", "exchanged", "found", "lent", "other", required=True)
    got: str | None = when()
    from_whom: str | None = ref("people")
    place: str | None = ref("places")
    price: str | None = ref("prices")


@table("leach_results")
class LeachResult(Statement):
    """What a laboratory or a kit found to come out of a part. `below`: less than the amount given."""

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    element: str = one_of("lead", "cadmium", "uranium", "other", required=True)
    amount: float | None = quantity()
    unit: str = one_of("mg_per_l", "mg_per_dm2", "kit", required=True)
    below: bool = False
    method: str | None = None
    laboratory: str | None = None
    tested: str | None = when()


@table("notes")
class Note(Statement):
    """What somebody has to say of a piece in their own words. Private unless it says that it is not."""

    piece: str = ref("pieces", required=True)
    part: str | None = ref("parts")
    text: str
    private: bool = True
