"""What was read of a case, and its faults: told without anything that values a case."""

from collections.abc import Sequence

from optioneer.errors import Fault
from optioneer.model.case import Case
from optioneer.model.checks.doubts import doubts
from optioneer.model.when import milestones
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Table, bullets_of, counted
from optioneer.study.ready.first_chips import CountedOn


def fault_lines(faults: Sequence[Fault]) -> tuple[str, ...]:
    """All faults, numbered when there are several, with their count last."""
    if len(faults) == 1:
        return (str(faults[0]),)
    width = len(str(len(faults)))
    lines = (f"{number:>{width}}. {fault}" for number, fault in enumerate(faults, start=1))
    return (*lines, f"{len(faults)} faults.")


def check_page(
    case: Case, notices: Sequence[Fault], figures: Figures, *, counted: CountedOn
) -> Page:
    """What was read from a case without faults, the dates counted on, and what is asked about."""
    asked = doubts(case)
    rows = (
        ("Machine", f"{case.machine.name}, {figures.quoted(case.machine.base_price)}"),
        ("Options", _options(case)),
        ("Also read", _also(case)),
        ("Growth", _growth(case)),
        ("Paying", _paying(case)),
        ("Site", _site(case)),
        ("Dates", _dates(case, figures, counted)),
        ("Horizon", _horizon(case, figures)),
    )
    return (
        Heading(f"{case.name}: the case as read"),
        Table("", ("", ""), rows, text_last=True),
        *bullets_of("To know", notices),
        *bullets_of("Is that meant?", asked),
        Paragraph("No faults."),
    )


def _options(case: Case) -> str:
    options = case.catalogue.options
    standard = sum(option.standard for option in options)
    factory = sum(not option.retrofittable for option in options)
    return (
        f"{counted(len(options), 'option')} in {counted(len(case.catalogue.slots), 'slot')}: "
        f"{factory} factory-only and {len(options) - factory} retrofittable, {standard} of them "
        "standard"
    )


def _also(case: Case) -> str:
    return ", ".join(
        (
            counted(len(case.bundles), "bundle"),
            counted(len(case.packages), "package"),
            counted(len(case.call_outs), "call-out"),
        )
    )


def _growth(case: Case) -> str:
    streams = counted(len(case.growth.stream), "work stream")
    return f"{streams}, {counted(len(case.growth.driver), 'driver')}"


def _paying(case: Case) -> str:
    if case.paying is None:
        return "nothing (no paying.toml): all is paid at the order"
    ways, use = f"{counted(len(case.paying.plan), 'way')} of paying", case.paying.use
    return f"{ways}; the advice counts on {'none of them' if use is None else use}"


def _site(case: Case) -> str:
    if case.site is None:
        return "nothing (no site.toml): power, air and floor are left out"
    site = case.site
    counts = {
        "supply": len(site.supply),
        "trade": len(site.trade),
        "item in the way": sum(item.moves for item in site.item),
        "task of your own": len(site.task),
    }
    plural = {"supply": "supplies", "item in the way": "items in the way"}
    plural |= {"task of your own": "tasks of your own", "trade": "trades"}
    return ", ".join(f"{n} {word if n == 1 else plural[word]}" for word, n in counts.items())


FROM = {
    "stated": "as stated in machine.toml",
    "weeks": "by the weeks in machine.toml",
    "site": "by the site's tasks for the standard machine",
}
"""Where the day of first chips comes from, in words."""


def _dates(case: Case, figures: Figures, on: CountedOn) -> str:
    days = milestones(case.dates)
    lead = figures.number(case.dates.lead_years, 2)
    missing = f"; at the earliest, missing: {', '.join(on.missing)}" if on.missing else ""
    shipped = f"machine shipped {days['shipped'].isoformat()}, " if case.dates.build_weeks else ""
    return (
        f"order {days['order'].isoformat()}, {shipped}first chips "
        f"{case.dates.first_chips_date.isoformat()}, {lead} years after the order, "
        f"{FROM[on.source]}{missing}"
    )


def _horizon(case: Case, figures: Figures) -> str:
    growth = case.growth
    return (
        f"{figures.number(growth.horizon_years)} years from first chips in "
        f"{counted(growth.periods, 'period')}, {figures.number(growth.futures)} futures, "
        f"seed {growth.seed}"
    )
