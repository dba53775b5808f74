"""What is said of the things of the reference."""

from __future__ import annotations

from footring.rows.base import Statement, entry, one_of, quantity, ref, ref_in, table, when


@table("numbers")
class Number(Statement):
    """A decoration number: a code on a line stands for a pattern over the treatment; None stands for any."""

    line: str = ref("lines", required=True, key=True)
    code: str = entry(required=True, key=True)
    era: str | None = when(key=True)
    body: str | None = ref("bodies")
    glaze: str | None = ref("glazes")
    decoration: str | None = ref("decorations")
    trim: str | None = ref("trims")
    source: str | None = ref("sources")


@table("mark_uses")
class MarkUse(Statement):
    """A mark in use on a line or a form of it; on any ware of its maker when neither is named."""

    mark: str = ref("marks", required=True)
    line: str | None = ref("lines")
    form: str | None = ref("forms")
    used: str | None = when()
    source: str | None = ref("sources")


@table("telltales")
class Telltale(Statement):
    """What tells a form from one much like it: what to look at, and what is seen there on each."""

    form: str = ref("forms", required=True, key=True)
    other_form: str = ref("forms", required=True, key=True)
    look_at: str = entry(required=True, key=True)
    seen: str
    seen_on_other: str
    source: str | None = ref("sources")


@table("goes_with")
class GoesWith(Statement):
    """A form issued together with another (lid and base, saucer, underplate). None in a treatment is any.

    A row without a treatment pairs the forms whatever the treatment of each; forms that were only issued in one and
    the same have a row for each treatment, named on both sides. A pair issued together is never called married.
    """

    kind: str = one_of("lid", "saucer", "underplate", "stand", "liner", "other", required=True)
    form: str = ref("forms", required=True)
    body: str | None = ref("bodies")
    glaze: str | None = ref("glazes")
    decoration: str | None = ref("decorations")
    trim: str | None = ref("trims")
    with_form: str = ref("forms", required=True)
    with_body: str | None = ref("bodies")
    with_glaze: str | None = ref("glazes")
    with_decoration: str | None = ref("decorations")
    with_trim: str | None = ref("trims")
    source: str | None = ref("sources")


@table("productions")
class Production(Statement):
    """The factory made this in those years. None in a part of the treatment is not said: some such, not each."""

    line: str = ref("lines", required=True)
    form: str | None = ref("forms")
    size: str | None = ref("sizes")
    body: str | None = ref("bodies")
    glaze: str | None = ref("glazes")
    decoration: str | None = ref("decorations")
    trim: str | None = ref("trims")
    customer: str | None = ref("customers")
    made: str | None = when()
    source: str | None = ref("sources")


@table("claims")
class Claim(Statement):
    """One assertion taken from a source: a property of a subject has this value, or has not, or was not met.

    `page` is where in the source it stands. `hours`, `handled` and `searched` belong to "not_met": how long was
    looked, how many pieces were handled, and where.
    """

    subject_table: str
    subject: str = ref_in("subject_table")
    property: str
    value: str | None = None
    source: str = ref("sources", required=True)
    page: str | None = None
    firmness: str = one_of("seen", "printed", "said_firmly", "said_from_memory", "guessed", required=True)
    stance: str = one_of("for", "against", "not_met", required=True)
    hours: float | None = quantity()
    handled: int | None = quantity()
    searched: str | None = None


@table("resolutions")
class Resolution(Statement):
    """What a person decided where claims disagree, and why."""

    subject_table: str = entry(required=True, key=True)
    subject: str = ref_in("subject_table", key=True)
    property: str = entry(required=True, key=True)
    value: str | None = None
    reason: str
