"""What is known of the sources, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from footring.reasoning.disagreements import Disagreement, Value
from footring.reasoning.label_parts import WIDTH
from footring.reasoning.source_records import FirmnessRecord, SourceRecord, Tally
from footring.reasoning.sources.opened import Opened
from footring.terms.printable import printable

STANCES = {"for": "For", "against": "Against", "not_met": "Not met"}


def tell_sources(
    records: Iterable[SourceRecord], firmness: Iterable[FirmnessRecord], found: Sequence[Disagreement], most: int
) -> str:
    """Everything as text of at most 80 columns.

    Parameters
    ----------
    records, firmness, found
        From `source_records`, `firmness_records` and `disagreements`.
    most : int
        Disagreements to tell; how many more there are is said.
    """
    lines = ["How reliable each source has proved", *_told(map(source_sentence, records), "No source is named here.")]
    lines += [
        "",
        "How it was put",
        *_told((firmness_sentence(one) for one in firmness if one.firmness != "printed"), ""),
    ]
    lines += ["", "What disagrees"]
    lines += _told((), "Nothing: no claim is contradicted.") if not found else []
    for one in found[:most]:
        lines += disagreement_lines(one)
    if len(found) > most:
        lines += _wrapped(f"{len(found) - most:,} more: say --all.", 2)
    return "\n".join(lines)


def _told(texts: Iterable[str], otherwise: str) -> list[str]:
    return [line for text in texts for line in _wrapped(text, 2)] or _wrapped(otherwise, 2)


def _wrapped(text: str, indent: int) -> list[str]:
    return wrap(printable(text), WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2))


def in_hundred(chance: float) -> str:
    """A chance in words.

    Examples
    --------
    >>> in_hundred(0.917), in_hundred(0.9991), in_hundred(0.002)
    ('92 in 100', 'over 99 in 100', 'under 1 in 100')
    """
    if chance > 0.99:
        return "over 99 in 100"
    return "under 1 in 100" if chance < 0.01 else f"{round(100 * chance)} in 100"


def source_sentence(record: SourceRecord) -> str:
    """How one source has proved."""
    kind = f" ({record.kind})" if record.kind else ""
    told = f"{record.name}{kind}: {in_hundred(record.weight)} of what it says is likely right"
    told += f" ({round(100 * record.low)}-{round(100 * record.high)}). {_tally(record)}"
    kinds = [f"{one.kind} {in_hundred(one.weight)}" for one in record.by_claim]
    told += f" By what it speaks of: {', '.join(kinds)}." if len(kinds) > 1 else ""
    return told + (f" {record.taken_over} of {record.said} statements are taken over from a source it draws on, "
                   "and count there." if record.taken_over else "")  # fmt: skip


def _tally(record: SourceRecord) -> str:
    tally = record.tally
    if record.kind == "piece":
        return "A piece in the hand: the others are checked by it."
    if tally == Tally(0, 0, 0):
        return "No piece has put it to the test yet; that is what is usual for its kind."
    settled = tally.borne_out + tally.contradicted
    left = f"; {tally.left_open} left open" if tally.left_open else ""
    if not settled:
        return f"No claim of it is settled yet{left}."
    bore = f"all {settled}" if settled > 1 and not tally.contradicted else f"{tally.borne_out} of {settled}"
    return f"Pieces bore out {bore} settled claims{left}." if settled > 1 else f"Pieces {_one(tally)}{left}."


def _one(tally: Tally) -> str:
    return "bore out the one claim they settle" if tally.borne_out else "contradict the one claim they settle"


def firmness_sentence(record: FirmnessRecord) -> str:
    """What it has proved to mean that a claim is put this way."""
    put = record.firmness.replace("_", " ").capitalize()
    times = f"{put}: odds of being right {record.odds:.2g} times those of print ({record.low:.2g}-{record.high:.2g})"
    if not record.checked:
        return f"{times}; common practice, as no claim put so is settled."
    return f"{times}, learned from {record.checked:,} settled claim{'s' if record.checked > 1 else ''}."


def disagreement_lines(one: Disagreement) -> list[str]:
    """A disagreement, with the claims for and against each value."""
    lines = _wrapped(f"{one.name}, {_asked(one)}: {_answered(one)}", 2)
    for value in one.values:
        lines += _wrapped(" ".join(_value_sentences(value)), 4)
    if one.something_else >= 0.01:
        lines += _wrapped(f"{_otherwise(one)}: {in_hundred(one.something_else)}.", 4)
    return lines


def _asked(one: Disagreement) -> str:
    return "whether it was there at all" if one.property == "exists" else one.property.replace("_", " ")


def _otherwise(one: Disagreement) -> str:
    return "It was not" if one.property == "exists" else "Something else"


def _answered(one: Disagreement) -> str:
    if one.resolution:
        name = next((value.name for value in one.values if value.value == one.answer), one.answer)
        return f"{name or 'settled'}, decided by hand. {one.reason}"
    likeliest = one.values[0]
    if likeliest.probability < max(one.something_else, 0.5):
        return "not settled."
    return f"{likeliest.name or 'it was'}, {in_hundred(likeliest.probability)}."


def _value_sentences(value: Value) -> Iterator[str]:
    yield f"{value.name or 'It was'}: {in_hundred(value.probability)}."
    for stance, heading in STANCES.items():
        claims = [_claim(one) for one in value.opened if one.stance == stance]
        if claims:
            yield f"{heading}: {'; '.join(claims)}."
    met = (("for it", value.met_for), ("against it", value.met_against))
    told = [f"{round(count, 1):g} {side}" for side, count in met if count]
    if told:
        yield f"Pieces in the hand: {', '.join(told)}."


def _claim(one: Opened) -> str:
    where = f", {one.page}" if one.page else ""
    looked = [f"{one.handled:,} handled"] if one.handled is not None else []
    looked += [f"{one.hours:g} hours"] if one.hours is not None else []
    looked += [one.searched] if one.searched else []
    inside = [one.firmness.replace("_", " "), *looked]
    inside.append(f"counts with {' and '.join(one.counts_with)}" if one.counts_with else in_hundred(one.weight))
    return f"{one.source_name or 'nobody named'}{where} ({', '.join(inside)})"
