"""What factories made: the things of the reference, and their child rows."""

from __future__ import annotations

from footring.rows.base import Thing, entry, length_mm, one_of, quantity, ref, ref_in, table, when

IN_CLAY = ("impressed", "incised", "raised")
ON_TOP = ("printed", "stamped", "painted", "transfer", "pencilled")


@table("sources")
class Source(Thing):
    """Where something is known from. A piece in the hand is a source of kind "piece"."""

    name: str
    kind: str | None = one_of(
        "price list", "advertisement", "catalogue", "ledger", "book", "article", "talk", "letter", "interview", "piece",
        "official record", "museum record", "other",
    )  # fmt: skip
    author: str | None = None
    published: str | None = when()


@table("lineages")
class Lineage(Thing):
    """A source declared to draw on another: the two count once."""

    source: str = ref("sources", required=True, key=True)
    drawn_from: str = ref("sources", required=True, key=True)


@table("makers")
class Maker(Thing):
    """A factory."""

    name: str
    town: str | None = None
    country: str | None = None
    active: str | None = when()


@table("lines")
class Line(Thing):
    """A named family of shapes sold together."""

    maker: str = ref("makers", required=True)
    name: str


@table("moulds")
class Mould(Thing):
    """The tool a form came from; forms of several lines may share one."""

    maker: str | None = ref("makers")
    name: str


@table("forms")
class Form(Thing):
    """One shape of a line. `kind` is what it is for ("covered dish"), in one's own words."""

    line: str = ref("lines", required=True)
    name: str
    kind: str | None = None
    mould: str | None = ref("moulds")
    designed: str | None = when()
    replaced_by: str | None = ref("forms")


@table("sizes")
class Size(Thing):
    """One size of a form: the trade's name for it and what it measures, never converted into each other."""

    form: str = ref("forms", required=True)
    trade_size: str | None = None
    across_mm: float | None = length_mm()
    high_mm: float | None = length_mm()
    capacity_ml: float | None = quantity()


@table("bodies")
class Body(Thing):
    """A fired clay."""

    maker: str | None = ref("makers")
    name: str


@table("glazes")
class Glaze(Thing):
    """A coat of glass, its effect and its mean CIELAB colour (D65, 2 degrees)."""

    maker: str | None = ref("makers")
    name: str
    effect: str | None = one_of("plain", "speckled", "mottled", "running", "matt", "lustre")
    lab_lightness: float | None = entry(within=(0.0, 100.0))
    lab_a: float | None = None
    lab_b: float | None = None


@table("decorations")
class Decoration(Thing):
    """What is applied. Ware left plain has a decoration of technique "none": None is not known."""

    maker: str | None = ref("makers")
    name: str
    technique: str | None = one_of("none", "transfer", "printing", "painting", "gilding", "relief", "other")
    over_glaze: bool | None = None
    designed: str | None = when()


@table("placements")
class Placement(Thing):
    """Where a decoration stands on a form, or on every form when none is named."""

    decoration: str = ref("decorations", required=True, key=True)
    form: str | None = ref("forms", key=True)
    place: str = entry(required=True, key=True)


@table("trims")
class Trim(Thing):
    """An edge line, band or metal. A piece without one has a trim of kind "none": None is not known."""

    maker: str | None = ref("makers")
    name: str
    kind: str | None = one_of("none", "edge line", "band", "gold", "silver", "platinum", "lustre", "other")


@table("customers")
class Customer(Thing):
    """Who ordered ware with their own name or device."""

    name: str


@table("hands")
class Hand(Thing):
    """Who made, decorated, sold or mounted; a mark may name only one of them."""

    name: str
    role: str = one_of("made", "decorated", "sold", "mounted", required=True)
    maker: str | None = ref("makers")


@table("date_code_schemes")
class DateCodeScheme(Thing):
    """A way of dating in a mark: an ordered run of fields. Two handbooks that disagree are two schemes."""

    maker: str | None = ref("makers")
    name: str
    used: str | None = when()
    source: str | None = ref("sources")


@table("date_code_fields")
class DateCodeField(Thing):
    """One field of a scheme.

    `rule` says how its token is read: from the tokens listed; `base` plus the number, the Roman numeral, the
    count of signs, or the place in `text`; or the last two figures of a year. `stage` numbers runs of the scheme
    that follow each other (a sign that resets the counter); fields of one stage stand in the order of `place`.
    `span` bounds the dates this stage can give. `holds` other than a date is kept, not read.
    """

    scheme: str = ref("date_code_schemes", required=True, key=True)
    stage: int = entry(required=True, key=True)
    place: int = entry(required=True, key=True)
    holds: str = one_of(
        "year",
        "half year",
        "quarter",
        "month",
        "day",
        "plant",
        "crew",
        "worker",
        "shape",
        "size",
        "other",
        required=True,
    )
    rule: str = one_of(
        "listed",
        "number",
        "roman",
        "count",
        "place in text",
        "missing from text",
        "last figures",
        "kept",
        required=True,
    )
    base: int | None = None
    longest: int | None = None
    text: str | None = None
    span: str | None = when()
    optional: bool = False


@table("date_code_tokens")
class DateCodeToken(Thing):
    """What one token of a field stands for: years or months.

    The token "no code" is the lack of one. `technique` and `frame` (circle, diamond) are part of the token where they
    tell series apart; `given` is another field's token that it needs.
    """

    field: str = ref("date_code_fields", required=True, key=True)
    token: str = entry(required=True, key=True)
    means: str = entry(required=True, key=True)
    technique: str | None = one_of(*IN_CLAY, *ON_TOP, key=True)
    frame: str | None = entry(key=True)
    given: str | None = ref("date_code_tokens", key=True)
    source: str | None = ref("sources")


@table("marks")
class Mark(Thing):
    """A mark: its lettering (`/` a line break), its device in words, and how it was put there."""

    maker: str | None = ref("makers")
    lettering: str | None = None
    device: str | None = None
    technique: str | None = one_of(*IN_CLAY, *ON_TOP)
    colour: str | None = None
    under_glaze: bool | None = None
    hand: str | None = ref("hands")
    date_code_scheme: str | None = ref("date_code_schemes")


@table("labels")
class Label(Thing):
    """A variant of a stuck-on label: evidence of the sale only."""

    maker: str | None = ref("makers")
    hand: str | None = ref("hands")
    name: str
    lettering: str | None = None
    material: str | None = None
    used: str | None = when()


@table("names")
class Name(Thing):
    """A name or alias of anything, its kind, and who gives it."""

    thing_table: str = entry(required=True, key=True)
    thing: str = ref_in("thing_table", key=True)
    name: str = entry(required=True, key=True)
    kind: str = one_of("factory", "shop", "author", "collectors", "misnomer", required=True, key=True)
    source: str | None = ref("sources", key=True)
