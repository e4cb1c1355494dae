"""The pages of what-if: which verdicts turn, and where along a range."""

from collections.abc import Sequence

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream
from optioneer.reports.advice.summary import BEST_FOUND
from optioneer.reports.page.cautions import every_retrofit_paid
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Entries, Heading, Page, PageEntry, Paragraph, Table
from optioneer.study.answer import Verdict
from optioneer.study.cash.price import options_ordered
from optioneer.study.whatif.answers import OptionTurns, Shift, Shifts, Turn, Turning
from optioneer.study.worth.changes import Change
from optioneer.study.worth.figures import KINDS, What

MOST_MOVED = 6
"""Verdicts that stand but moved most, shown."""

FEWEST_CENTS = 0.5
"""Smaller moves are not shown [money]."""

SAID: dict[Verdict, str] = {
    "order now": "order now",
    "leave for retrofit": "leave for a retrofit",
    "leave off": "leave off",
}


def what_if_page(case: Case, answer: Shifts, figures: Figures) -> Page:
    """What was changed, which verdicts turn, and what keeping to the old advice would cost."""
    turned = [shift for shift in answer.options if shift.before != shift.after]
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    return (
        Heading(f"{case.machine.name}: what if", drawn),
        Paragraph(" ".join(_change(case, change, figures) for change in answer.changes)),
        Paragraph(_outcome(case, answer, len(turned), figures), strong=True),
        *((_turned_verdicts(case, turned, figures),) if turned else ()),
        *_moved_most(case, answer, figures),
        *_search_note(answer),
        *map(Paragraph, every_retrofit_paid(case)),
    )


def turning_page(case: Case, answer: Turning, figures: Figures) -> Page:
    """Where along the range each verdict turns, what to order at each value, what never turns."""
    first, last = answer.points[0].at, answer.points[-1].at
    low, high = (figure_value(answer.what, end, figures) for end in (first, last))
    span = f"from {low} to {high}"
    label = figure_label(case, answer.what, answer.name)
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    here = figure_value(answer.what, answer.here, figures)
    return (
        Heading(f"{case.machine.name}: where verdicts turn", drawn),
        Paragraph(
            f"{label} {span}, in the case {here}; everything else as in the case.", strong=True
        ),
        *_turns(case, answer, figures),
        _orders(case, answer, figures),
        *_steady(case, answer),
        *_search_note(answer),
        *map(Paragraph, every_retrofit_paid(case)),
    )


def _search_note(answer: Shifts | Turning) -> tuple[Paragraph, ...]:
    return (Paragraph(BEST_FOUND),) if answer.searched else ()


def _change(case: Case, change: Change, figures: Figures) -> str:
    label = figure_label(case, change.what, change.name)
    before, after = (
        figure_value(change.what, each, figures) for each in (change.before, change.after)
    )
    return f"{label}: {after} instead of {before}."


def figure_label(case: Case, what: What, name: str) -> str:
    """A figure of a case in words, e.g. ``Chance of night work``."""
    owner = _owner(case, what, name)
    return {
        "nudge": f"How strongly '{owner}' comes true",
        "chance": f"Chance of {owner}",
        "margin": f"Likeliest yearly margin of {owner}",
        "years": f"Years until {owner}",
        "lasts-years": f"Years that {owner} lasts",
        "fallback": f"Share kept without a way of {owner}",
        "growth": f"Yearly growth of {owner}",
        "swing": f"Swing of {owner}",
        "hours": f"Yearly hours of {owner}",
        "multiplier": f"Likeliest retrofit multiplier of {owner}",
        "price": f"Price of {owner}",
        "later-price": f"Later price of {owner}",
        "downtime-days": f"Days of standstill to fit {owner}",
        "attended": "Hours attended a year",
        "beyond": "Cost of an hour beyond those attended",
        "kept-years": "Years that the machine is kept",
        "horizon": "Years looked ahead",
        "discount-rate": "Discount rate",
    }[what]


def _owner(case: Case, what: What, name: str) -> str:
    """What people call the driver, stream or option."""
    owners: dict[str, Sequence[Driver | Stream]] = {
        "driver": case.growth.driver,
        "stream": case.growth.stream,
    }
    named = owners.get(KINDS.get(what, ""), ())
    names = {each.id: each.name for each in named} or {
        option.option: option.name for option in case.catalogue.options
    }
    return names.get(name) or name


def figure_value(what: What, value: float, figures: Figures) -> str:
    """What such a figure is, in its unit."""
    if what in {"margin", "price", "later-price", "beyond"}:
        return figures.quoted(round(value, 2))
    if what in {"chance", "fallback", "growth", "discount-rate"}:
        return f"{figures.number(100 * value, 1)}%"
    sign = "+" if what == "nudge" and value > 0 else ""
    return f"{sign}{figures.number(value, 2)}"


def _outcome(case: Case, answer: Shifts, turned: int, figures: Figures) -> str:
    before, after = answer.before, answer.after
    many = {0: "No verdict turns.", 1: "1 verdict turns."}.get(turned, f"{turned} verdicts turn.")
    cost = (
        f"Net present cost of the advice: {figures.amount(after.npc)} instead of "
        f"{figures.amount(before.npc)}."
    )
    if before.options == after.options:
        return f"{many} The same package is advised. {cost}"
    count = len(options_ordered(case, after.options))
    spread = figures.spread(abs(answer.keeping_costs), answer.keeping_costs_se)
    direction = "less" if answer.keeping_costs < 0 else "more"
    return (
        f"{many} Order {count} options for {figures.quoted(after.price)} instead of "
        f"{len(options_ordered(case, before.options))} for {figures.quoted(before.price)}. {cost} "
        f"Keeping to the package advised before would then cost {spread} {direction}."
    )


def _turned_verdicts(case: Case, turned: list[Shift], figures: Figures) -> Entries:
    entries = tuple(
        PageEntry(
            case.catalogue.by_id[shift.option].name,
            (_otherwise(shift.otherwise_before, figures), _after(shift, figures)),
            f"Before: {SAID[shift.before]}. Now: {SAID[shift.after]}."
            + (" Too close to call." if shift.close_call_after else ""),
        )
        for shift in sorted(turned, key=lambda shift: -(shift.otherwise_after or 0.0))
    )
    heads = ("otherwise before", "otherwise now")
    return Entries(f"Verdicts that turn ({len(entries)})", heads, entries)


def _moved_most(case: Case, answer: Shifts, figures: Figures) -> tuple[Table, ...]:
    """Those that stand although what choosing otherwise costs moved most."""
    moves = [
        (abs(shift.otherwise_after - shift.otherwise_before), shift)
        for shift in answer.options
        if shift.before == shift.after
        and shift.otherwise_before is not None
        and shift.otherwise_after is not None
    ]
    moves = [each for each in moves if each[0] > FEWEST_CENTS]
    shown = sorted(moves, key=lambda each: (-each[0], each[1].option))[:MOST_MOVED]
    if not shown:
        return ()
    rows = tuple(
        (
            case.catalogue.by_id[shift.option].name,
            _otherwise(shift.otherwise_before, figures),
            _after(shift, figures),
            SAID[shift.after],
        )
        for _, shift in shown
    )
    heads = ("option", "otherwise before", "otherwise now", "verdict")
    return (
        Table("Verdicts that stand but moved most", heads, rows, text_last=True, note=OTHERWISE),
    )


OTHERWISE = (
    "Otherwise: what the other choice would cost beyond the advised one, everything else chosen "
    "as well as possible."
)


def _otherwise(cost: float | None, figures: Figures) -> str:
    return "no other choice" if cost is None else figures.amount(cost)


def _after(shift: Shift, figures: Figures) -> str:
    if shift.otherwise_after is None or shift.otherwise_se_after is None:
        return "no other choice"
    return figures.spread(shift.otherwise_after, shift.otherwise_se_after)


def _turns(case: Case, answer: Turning, figures: Figures) -> tuple[Table | Paragraph, ...]:
    rows = tuple(
        (
            case.catalogue.by_id[option.option].name,
            _place(answer.what, turn, figures),
            f"{SAID[turn.before]}, then {SAID[turn.after]}",
        )
        for option in sorted(answer.options, key=_first_turn)
        for turn in option.turns
    )
    if not rows:
        return (Paragraph("No verdict turns along this range."),)
    note = (
        f"Looked at {len(answer.points)} values; a place between two of them is drawn in a "
        "straight line. A turn and its return between two values stay unseen: look at more steps."
    )
    heads = ("option", "turns at", "below and above")
    return (Table("Where verdicts turn", heads, rows, text_last=True, note=note),)


def _first_turn(option: OptionTurns) -> tuple[float, str]:
    first = min((turn.low if turn.at is None else turn.at for turn in option.turns), default=0.0)
    return first, option.option


def _place(what: What, turn: Turn, figures: Figures) -> str:
    if turn.at is None:
        return (
            f"{figure_value(what, turn.low, figures)} to {figure_value(what, turn.high, figures)}"
        )
    return figure_value(what, turn.at, figures)


def _orders(case: Case, answer: Turning, figures: Figures) -> Table:
    rows = tuple(
        (
            figure_value(answer.what, point.at, figures),
            str(len(options_ordered(case, point.options))),
            figures.quoted(point.price),
            figures.amount(point.npc),
        )
        for point in answer.points
    )
    heads = (_HEADS.get(answer.what, answer.what), "options ordered", "price", "net present cost")
    return Table("What to order at each value", heads, rows)


_HEADS: dict[What, str] = {
    "nudge": "how strongly",
    "lasts-years": "lasts, years",
    "kept-years": "kept, years",
    "downtime-days": "days",
    "horizon": "years",
    "discount-rate": "rate",
}


def _steady(case: Case, answer: Turning) -> tuple[Paragraph, ...]:
    """Options whose verdict stands all along, a paragraph a verdict."""
    names = {
        verdict: [
            case.catalogue.by_id[option.option].name
            for option in answer.options
            if not option.turns and option.verdicts[0] == verdict
        ]
        for verdict in SAID
    }
    return tuple(
        Paragraph(f"{SAID[verdict].capitalize()} all along: {'; '.join(members)}.")
        for verdict, members in names.items()
        if members
    )
