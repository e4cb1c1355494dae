"""The record of a case as a page: what was decided, what came of it, what changed."""

from collections.abc import Callable, Iterator, Mapping

from optioneer.reports.cash.ledger import kind_called
from optioneer.reports.cash.terms import stages_in_words
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import (
    Bullets,
    Heading,
    Page,
    Paragraph,
    Part,
    Table,
    bullets_of,
    counted,
)
from optioneer.study.record.differences import Differences
from optioneer.study.record.facts import Fitted, PaidFact, Recorded, RecordedFact, Sealed, Withdrawn
from optioneer.study.record.since import FittedSince, Since, WorkSince

MOST_LINES = 40
"""Lines shown of what changed in one file."""

NOTHING = "-"


SEALS = (
    "Every entry is sealed with a hash over itself and all before it. A seal without a key shows "
    "accidents and edits; it does not show a record that was cut at its end, or written anew by "
    "somebody who knows how, and proves neither who wrote it nor when. Against that helps only a "
    "head that you kept elsewhere. `optioneer history {name} --expect HEAD` compares it."
)
"""What seals can and cannot show."""


def history_page(record: Recorded, figures: Figures, *, name: str, told: Since | None) -> Page:
    """Every decision and fact, and the last decision against what has happened since."""
    title = Heading(f"{name}: the record", counted(len(record.decisions), "decision"))
    none = f"No decision is recorded yet: optioneer decide {name} --package ID --note '...'."
    return (
        title if record.decisions else Heading(f"{name}: the record"),
        *([_damage(record)] if record.damage else []),
        _decisions(record, figures) if record.decisions else Paragraph(none),
        *(_since(told, figures) if told is not None else ()),
        *_facts(record, figures),
        *(_seal_parts(record, name) if record.entries else ()),
    )


def kept_head(record: Recorded) -> str:
    """What a paper that travels says of the record, to be compared later; '' of an empty one."""
    if record.damage:
        return f"The record of the case was damaged when this was written. {record.damage[0]}"
    if not record.entries:
        return ""
    return (
        f"Head of the record of the case when this was written: {record.head}. As long as "
        f"optioneer history with --expect {record.head} finds it, nothing that was recorded by "
        "then was changed or taken out."
    )


def _damage(record: Recorded) -> Bullets:
    return Bullets("The record is damaged; what is whole of it is told below", record.damage)


def _seal_parts(record: Recorded, name: str) -> Iterator[Part]:
    entries = "1 entry" if len(record.entries) == 1 else f"{len(record.entries)} entries"
    yield Paragraph(f"The record has {entries}; its head is {record.head}.", strong=True)
    yield Paragraph(SEALS.format(name=name))


def _facts(record: Recorded, figures: Figures) -> Iterator[Table]:
    gone, names, rows = record.corrected, _names(record), []
    for one in record.entries:
        if not isinstance(one.what, Sealed):
            fate = f"counts no more: entry {gone[one.number]}" if one.number in gone else ""
            place = "" if one.corrects is None else f"instead of entry {one.corrects}"
            day, said = _fact(one.what, names, figures)
            rows.append((str(one.number), day, "; ".join(filter(None, (said, place, fate)))))
    if rows:
        yield Table("What was recorded", ("no.", "on", "what"), tuple(rows), text_last=True)


def _names(record: Recorded) -> dict[str, str]:
    """What people called options and work when it was decided on them, the last name first."""
    planned = [one.planned for one in record.decisions.values()]
    options = {one.option: one.name for each in planned for one in each.options}
    return options | {one.stream: one.name for each in planned for one in each.streams}


def _fact(
    what: RecordedFact | Withdrawn, names: Mapping[str, str], figures: Figures
) -> tuple[str, str]:
    """Its day, and what it says."""
    if isinstance(what, Withdrawn):
        return NOTHING, ", ".join(filter(None, ("withdrawn", what.note)))
    if isinstance(what, PaidFact):
        words = ("received" if what.cents > 0 else "paid", kind_called(what.kind))
        said = (*words, what.what, what.payee, figures.cash(what.cents))
        return what.date.isoformat(), " ".join(filter(None, said))
    if isinstance(what, Fitted):
        bill = figures.cash(what.cents + what.call_out_cents)
        told = (f"fitted: {names.get(what.option, what.option)}", bill, what.note)
        return what.date.isoformat(), ", ".join(filter(None, told))
    margin = "" if what.margin is None else f"{figures.amount(what.margin)} a year"
    told = (f"came: {names.get(what.stream) or what.stream}", margin, what.note)
    return what.date.isoformat(), ", ".join(filter(None, told))


def _decisions(record: Recorded, figures: Figures) -> Table:
    rows = tuple(
        (
            str(number),
            f"{one.time:%Y-%m-%d %H:%M} UTC",
            figures.quoted(one.package.price),
            figures.spread(one.package.npc, one.package.npc_se),
            f"{one.package.id}: {one.note}" if one.note else one.package.id,
        )
        for number, one in record.decisions.items()
    )
    seals = "; ".join(
        f"{number}: {one.fingerprint[:16]}, optioneer {one.version}"
        for number, one in record.decisions.items()
    )
    heads = ("no.", "sealed", "price", "net present cost", "package and note")
    return Table(
        "Decisions", heads, rows, text_last=True, note=f"Fingerprints and versions: {seals}."
    )


def _since(told: Since, figures: Figures) -> Iterator[Part]:
    yield Paragraph(
        f"The last decision against what is recorded up to {told.day.isoformat()}.", strong=True
    )
    yield _money(told, figures)
    if told.fitted:
        yield _retrofit_table(told, figures)
    if told.mean_ratio is not None:
        yield Paragraph(
            f"Retrofits came at {figures.number(told.mean_ratio, 2)} times the likeliest "
            "multiplier on average: take that into the next case."
        )
    yield _work(told, figures)
    yield Paragraph(
        f"{told.arrived} of {len(told.work)} kinds of work have come; by their chances "
        f"{figures.number(told.expected)} should have by now."
    )


def _money(told: Since, figures: Figures) -> Table:
    rows = tuple(
        (
            kind_called(one.kind),
            figures.cash(one.planned_cents),
            figures.cash(one.paid_cents),
            figures.cash(one.paid_cents - one.planned_cents),
            figures.cash(one.planned_in_all_cents),
        )
        for one in told.money
    )
    heads = ("money out is negative", "planned so far", "moved", "difference", "planned in all")
    return Table("Money", heads, rows)


def _retrofit_table(told: Since, figures: Figures) -> Table:
    rows = tuple(_fitted_row(one, figures) for one in told.fitted)
    heads = ("fitted since", "on", "multiplier", "reckoned with", "days", "reckoned with", "advice")
    note = "Multipliers are in money of the order: what prices rose by since is taken off."
    return Table("Retrofits", heads, rows, text_last=True, note=note)


def _fitted_row(one: FittedSince, figures: Figures) -> tuple[str, ...]:
    return (
        one.name,
        one.date.isoformat(),
        NOTHING if one.multiplier is None else figures.number(one.multiplier, 2),
        _three(one.planned_multiplier, figures),
        NOTHING if one.downtime_days is None else figures.number(one.downtime_days),
        figures.number(one.planned_downtime_days),
        one.verdict,
    )


def _three(three: tuple[float, float, float] | None, figures: Figures) -> str:
    return NOTHING if three is None else " / ".join(figures.number(one, 2) for one in three)


def _work(told: Since, figures: Figures) -> Table:
    come_first = sorted(told.work, key=lambda one: one.arrived is None)
    rows = tuple(_work_row(one, figures) for one in come_first)
    heads = ("work", "chance", "came after", "reckoned with", "margin a year")
    note = "Years after first chips."
    return Table("Work", heads, rows, text_last=True, note=note)


def _work_row(one: WorkSince, figures: Figures) -> tuple[str, ...]:
    wide = " / ".join(figures.amount(margin) for margin in one.planned_margin)
    return (
        one.name,
        figures.share(one.chance),
        "not so far" if one.arrived is None else figures.number(one.arrived, 2),
        _three(one.years, figures),
        "" if one.margin is None else f"{figures.amount(one.margin)}; reckoned with {wide}",
    )


def differences_page(
    before: tuple[int, Sealed], after: tuple[int, Sealed], found: Differences, figures: Figures
) -> Page:
    """What the second of two decisions has other than the first."""
    (first, old), (second, new) = before, after
    title = f"{new.case}: decision {second} against decision {first}"
    names = {one.option: one.name for one in (*old.planned.options, *new.planned.options)}
    return (
        Heading(title),
        _side_by_side(old, new, figures),
        *([Paragraph("The same options, verdicts and files.")] if found.none else []),
        *bullets_of("Added to the machine", [names.get(one, one) for one in found.added]),
        *bullets_of("Dropped from it", [names.get(one, one) for one in found.dropped]),
        *bullets_of(
            "Verdicts that turned",
            [f"{names.get(one, one)}: {was}, now {now}" for one, was, now in found.verdicts],
        ),
        *(part for name, lines in found.files for part in bullets_of(name, _short(lines))),
    )


def _side_by_side(old: Sealed, new: Sealed, figures: Figures) -> Table:
    rows = tuple((words, said(old, figures), said(new, figures)) for words, said in _SIDES.items())
    return Table("", ("", "before", "after"), rows)


_SIDES: Mapping[str, Callable[[Sealed, Figures], str]] = {
    "Sealed": lambda one, _: f"{one.time:%Y-%m-%d %H:%M} UTC",
    "Package": lambda one, _: one.package.id,
    "Price": lambda one, figures: figures.quoted(one.package.price),
    "Net present cost": lambda one, figures: figures.spread(one.package.npc, one.package.npc_se),
    "Worst tenth": lambda one, figures: figures.amount(one.package.outcome.worst_tenth),
    "First chips": lambda one, _: one.planned.first_chips.isoformat(),
    "The dealer is paid": lambda one, figures: (
        stages_in_words(one.planned.dealer.stages, figures) or NOTHING
    ),
    "Way of paying": lambda one, _: one.planned.plan or NOTHING,
    "Program": lambda one, _: one.version,
    "Fingerprint": lambda one, _: one.fingerprint[:16],
}


def _short(lines: tuple[str, ...]) -> list[str]:
    rest = len(lines) - MOST_LINES
    more = [f"and {rest} more lines"] if rest > 0 else []
    return [*lines[:MOST_LINES], *more]
