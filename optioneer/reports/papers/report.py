"""The report: two sheets that decide, and an appendix that proves."""

from collections.abc import Mapping

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.reports.advice.attitude import unpaid_parts
from optioneer.reports.advice.finding_out import learning_table
from optioneer.reports.advice.hours import hours_parts, visits_parts
from optioneer.reports.advice.pages import READING
from optioneer.reports.advice.provenance import rests_table
from optioneer.reports.advice.tables import frontier_table, packages_table, verdict_groups
from optioneer.reports.asking.acting import acting_parts
from optioneer.reports.asking.bargain import bargain_page
from optioneer.reports.cash.account import account_parts
from optioneer.reports.cash.page import cash_page
from optioneer.reports.cash.paid import payments_table
from optioneer.reports.page.cautions import FOR_THE_BANK, cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import (
    Bullets,
    Heading,
    Page,
    Paragraph,
    Part,
    Picture,
    Section,
    Table,
)
from optioneer.reports.papers.bank import bank_parts
from optioneer.reports.papers.decision import deciding
from optioneer.reports.ready.page import ready_page
from optioneer.study.cash.payments import payments
from optioneer.study.papers.dossier import Dossier


def report(
    told: Dossier,
    figures: Figures,
    *,
    pictures: Mapping[str, Picture],
    version: str,
    record: str = "",
) -> Page:
    """Everything that is known of a case, the decision first.

    Parameters
    ----------
    pictures
        Charts by name: `spread`, `otherwise`, `frontier`, `balance`, `road`; any may be absent.
    version
        Of the program that answered.
    record
        What is said of the record of the case, so that a head of it is kept elsewhere.
    """
    return (
        *deciding(told, figures, pictures),
        Section("Appendix A: every option, and why", fresh=True),
        *_picture_if_any(pictures, "otherwise"),
        *verdict_groups(told.case, told.advice, figures),
        Paragraph(READING),
        *unpaid_parts(told.case, told.advice, figures),
        *(() if told.acting is None else acting_parts(told.case, told.acting, figures)),
        Section("Appendix B: packages, budgets, and what is worth knowing"),
        packages_table(told.case, told.advice, figures),
        *((frontier_table(told.case, told.advice, figures),) if told.advice.frontier else ()),
        *_picture_if_any(pictures, "frontier"),
        *hours_parts(told.advice, figures),
        *visits_parts(told.advice),
        *learning_table(told.case, told.advice, figures),
        *_money(told, figures, pictures),
        *_site(told, figures, pictures),
        Section("Appendix E: what it rests on"),
        *assumptions(told.case, figures),
        Section("Appendix F: cautions, and how to reproduce this"),
        Bullets("Cautions", cautions(told.case)),
        Bullets("To reproduce it", reproduction(told, version, record)),
        *_bargain(told, figures),
    )


def _bargain(told: Dossier, figures: Figures) -> Page:
    """The negotiation sheet, where it was asked for: it stays at home."""
    if told.bargain is None:
        return ()
    page = bargain_page(told.case, told.bargain, figures)
    return (
        Section("Appendix G: how far to go with the dealer", fresh=True),
        *_without_cautions(told.case, page),
    )


def foot(told: Dossier, version: str) -> str:
    """What stands at the foot of every sheet."""
    return (
        f"{told.case.name} · optioneer {version} · seed {told.advice.seed} · "
        f"case {told.fingerprint[:16]}"
    )


def reproduction(told: Dossier, version: str, record: str = "") -> tuple[str, ...]:
    """Version, draws and fingerprint: what gives the same figures again; the record's head."""
    growth = told.case.growth
    return (
        f"Program: optioneer {version}.",
        f"Draws: {growth.futures} futures, seed {growth.seed}.",
        f"Facts of the case: SHA-256 {told.fingerprint}.",
        (
            "The same version on the same facts gives the same figures. Packages are compared on "
            "the same futures; ± is a standard error."
        ),
        *([record] if record else []),
    )


def _picture_if_any(pictures: Mapping[str, Picture], name: str) -> tuple[Picture, ...]:
    return (pictures[name],) if name in pictures else ()


def _money(told: Dossier, figures: Figures, pictures: Mapping[str, Picture]) -> Page:
    if told.money is None:
        return ()
    money = told.money
    page = cash_page(
        told.case,
        money.study,
        figures,
        delays=money.delays,
        bands=money.bands,
        unpriced=money.unpriced,
        periods=False,
    )
    title = f"Plan '{money.chosen}', payment by payment"
    return (
        Section("Appendix C: the money"),
        *_picture_if_any(pictures, "balance"),
        *_without_cautions(told.case, page),
        payments_table(title, payments(money.ledger), figures),
        *_lender(told, figures),
    )


def _lender(told: Dossier, figures: Figures) -> Page:
    if told.money is None or told.money.lender is None:
        return ()
    study, answer = told.money.lender
    one = tuple(plan for plan in study.answer.plans if plan.id == answer.plan)
    return (
        Section("The account with the machine in it"),
        *account_parts(study.answer.model_copy(update={"plans": one}), figures),
        Section(f"For the bank: plan '{answer.plan}'", fresh=True),
        *bank_parts(told.case, study, answer, figures),
        Bullets("Before anybody signs", FOR_THE_BANK),
    )


def _without_cautions(case: Case, page: Page) -> Page:
    """The parts of a page without its title; of its cautions only those that are its own."""
    common = set(cautions(case))
    return tuple(
        _own(part, common) if isinstance(part, Bullets) else part
        for part in page
        if not isinstance(part, Heading)
        and not (isinstance(part, Bullets) and common.issuperset(part.sentences))
    )


def _own(part: Bullets, common: set[str]) -> Part:
    return Bullets(part.title, tuple(one for one in part.sentences if one not in common))


def _site(told: Dossier, figures: Figures, pictures: Mapping[str, Picture]) -> Page:
    if told.ready is None:
        return ()
    page = ready_page(told.case, told.ready, figures)
    return (
        Section("Appendix D: the road to first chips"),
        *_picture_if_any(pictures, "road"),
        *_without_cautions(told.case, page),
    )


def assumptions(case: Case, figures: Figures) -> Page:
    """What the case says of the work, the options and the machine."""
    return (
        *rests_table(case, figures),
        _terms(case, figures),
        _streams(case, figures),
        *_drivers(case),
        _options(case, figures),
    )


def _terms(case: Case, figures: Figures) -> Table:
    growth, machine = case.growth, case.machine
    rows = (
        ("Horizon", f"{figures.number(growth.horizon_years)} years from first chips"),
        ("Steps", f"{figures.number(growth.periods_per_year)} a year"),
        ("Discount rate", _percent(growth.discount_rate, figures)),
        ("Retrofit prices rise by", _percent(growth.retrofit_inflation, figures)),
        ("A day of standstill", figures.quoted(machine.margin_per_day)),
        ("Resale of the machine", figures.share(machine.resale_share)),
        ("Order", case.dates.order.isoformat()),
        ("First chips", case.dates.first_chips_date.isoformat()),
        *((f"Call-out '{name}'", figures.quoted(fee)) for name, fee in case.call_outs.items()),
    )
    return Table("The terms", ("", ""), rows, text_last=True)


def _percent(rate: float, figures: Figures) -> str:
    return f"{figures.number(100 * rate, 2)}% a year"


def _streams(case: Case, figures: Figures) -> Table:
    names = case.catalogue.by_id
    rows = tuple(
        (
            stream.name or stream.id,
            _chance(stream.chance, figures),
            _three(stream.years, figures),
            _three(stream.margin, figures, 0),
            figures.share(stream.fallback),
            "; or ".join(
                f"{' + '.join(names[o].name for o in way.options) or 'nothing'}"
                f"{'' if way.share == 1 else f' ({figures.share(way.share)})'}"
                for way in stream.way
            ),
        )
        for stream in case.growth.stream
    )
    heads = ("work that may come", "chance", "years", "margin a year", "without", "ways to do it")
    note = (
        "Years after first chips and margins: low, likely, high. Without: share of the margin kept "
        "when no way is owned; in brackets the share that a way earns."
    )
    return Table("The work", heads, rows, text_last=True, note=note)


def _chance(chance: float | Triangular, figures: Figures) -> str:
    if not isinstance(chance, Triangular):
        return figures.share(chance)
    return " / ".join(figures.share(one) for one in (chance.low, chance.likely, chance.high))


def _three(three: Triangular, figures: Figures, digits: int = 2) -> str:
    return " / ".join(figures.number(one, digits) for one in (three.low, three.likely, three.high))


def _drivers(case: Case) -> Page:
    if not case.growth.driver:
        return ()
    rows = tuple(
        (
            driver.name or driver.id,
            "; ".join(
                f"{stream.name or stream.id} {stream.drivers[driver.id]:g}"
                for stream in case.growth.stream
                if driver.id in stream.drivers
            ),
        )
        for driver in case.growth.driver
    )
    return (Table("What drives several kinds of work", ("driver", "loads"), rows, text_last=True),)


def _options(case: Case, figures: Figures) -> Table:
    rows = tuple(
        (
            option.name,
            "standard" if option.standard else figures.quoted(option.price),
            "-" if option.multiplier is None else _three(option.multiplier, figures),
            "-" if option.eased is None else _three(option.eased, figures),
            figures.number(option.downtime_days) if option.retrofittable else "-",
            figures.quoted(option.upkeep_per_year),
            figures.share(option.resale_share),
        )
        for option in case.catalogue.options
    )
    heads = ("option", "price", "later, times", "once eased", "days", "upkeep a year", "resale")
    note = "Later: the price of a retrofit as a multiple; low, likely, high. -: factory-only."
    return Table("The options", heads, rows, note=note)
