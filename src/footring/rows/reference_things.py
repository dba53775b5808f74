"""What factories made: the things of the reference, and their child rows."""

from __future__ import annotations

from footring.rows.base import Thing, entry, length_mm, one_of, quantity, ref, ref_in, share, table, when

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
    """A way of dating in a mark, read by its fields. Two handbooks that disagree are two schemes.

    `maker_pattern` and `style`: words that name the maker, and that the rest of the mark must have (`|` or, `+` and,
    `!` not). `dates` is what the code dates, `alternative_of` ids of schemes it contradicts with spaces between,
    `weight` how far it is trusted against those, `floor` the likelihood left outside its dates, `scan` where in a
    mark its codes are looked for. `technique` and `frame` (circle, diamond) only where they tell series apart.
    """

    name: str
    maker: str | None = ref("makers")
    maker_pattern: str
    style: str | None = None
    span_from: str = when(required=True)
    span_to: str = when(required=True)
    technique: str | None = one_of(*IN_CLAY, *ON_TOP)
    frame: str | None = None
    dates: str | None = one_of("potted", "decorated", "potted decorated")
    alternative_of: str | None = None
    weight: float | None = share()
    floor: float | None = share()
    scan: str | None = one_of("part", "line", "across", "apart")
    source: str | None = ref("sources")
    status: str | None = None
    note: str | None = None


@table("date_code_fields")
class DateCodeField(Thing):
    """One field of a scheme; those of one `way` of writing a code stand in the order of `position`.

    `kind` is how it is read and `gives` what it then says. A year is `base` + `step` times the number. `before` and
    `after`: what stands round it (`|` or, `_` a space). `sign` is what is counted or missing, `text` the words,
    letters or class read; `table` is another field's "scheme/field" whose tokens it shares; `lost` the weight of each
    sign more than was read.
    """

    scheme: str = ref("date_code_schemes", required=True, key=True)
    way: str | None = entry(key=True)
    position: int = entry(required=True, key=True)
    kind: str = one_of(
        "literal", "token", "number", "roman", "count", "position", "missing", "free", "says", required=True
    )
    name: str
    gives: str | None = one_of("year", "year2", "month", "keep", "check")
    before: str | None = None
    after: str | None = None
    optional: bool = False
    base: int | None = quantity()
    step: int | None = None
    min: int | None = quantity()
    max: int | None = quantity()
    width: str | None = None
    sign: str | None = None
    text: str | None = None
    table: str | None = None
    lost: float | None = share()
    source: str | None = ref("sources")
    status: str | None = None


@table("date_code_tokens")
class DateCodeToken(Thing):
    """What one token of a field stands for: years or months from `span_from` to `span_to`.

    `value` is "month 6", "months 1-6", "skipped" for one the factory left out, or else what is kept.
    """

    scheme: str = ref("date_code_schemes", required=True, key=True)
    field: str = entry(required=True, key=True)
    token: str = entry(required=True, key=True)
    span_from: str | None = when(key=True)
    span_to: str | None = when()
    value: str | None = entry(key=True)
    note: str | None = None
    source: str | None = ref("sources")
    status: str | None = None


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
