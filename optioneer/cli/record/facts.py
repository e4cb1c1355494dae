"""`optioneer paid`, `fitted`, `arrived` and `withdraw`: what came of a decision."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.record.decide import NoteText, day, must_be_case, put, well_formed
from optioneer.errors import CaseError, RequestError, did_you_mean

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.model.machine import Machine
    from optioneer.study.record.facts import Planned, RecordedFact, Withdrawn


def _amount(text: str) -> Decimal:
    from optioneer.model.fact import LARGEST_AMOUNT

    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or not 0 <= amount < Decimal(LARGEST_AMOUNT):
        raise typer.BadParameter(
            f"{text!r} is no amount from 0 to below {LARGEST_AMOUNT:,.0f}. "
            "Write digits with a point, e.g. 50880.00."
        )
    return amount


def _cents(amount: Decimal, currency: str, where: str = "--amount") -> int:
    """An amount in whole cents of a currency."""
    from optioneer.money.cents import places

    cents = amount.scaleb(places(currency))
    if cents != cents.to_integral_value():
        most = f"{places(currency)} decimals" if places(currency) else "no decimals"
        raise RequestError(f"{where}: {amount} is no amount of {currency}, which has {most}.")
    return int(cents)


On = Annotated[
    date, typer.Option("--date", metavar="DATE", parser=day, help="The day, e.g. 2027-03-01.")
]
AmountPaid = Annotated[
    Decimal,
    typer.Option("--amount", metavar="AMOUNT", parser=_amount, help="How much, to the cent."),
]
Corrects = Annotated[
    int | None,
    typer.Option(
        "--corrects",
        metavar="N",
        parser=shell._integer,
        help="Number of the earlier entry that was wrong; both stay, this one counts.",
    ),
]
Sure = Annotated[bool, typer.Option("--yes", help="It is right, however unlikely it looks.")]


@shell.app.command("paid")
def paid(
    case: shell.CasePath,
    on: On,
    amount: AmountPaid,
    kind: Annotated[
        str, typer.Option("--kind", metavar="KIND", help="contract, principal, interest, site ...")
    ] = "contract",
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What for.")] = "",
    payee: Annotated[str, typer.Option("--payee", metavar="TEXT", help="To or from whom.")] = "",
    received: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--received", help="It came in instead of going out.")
    ] = False,
    corrects: Corrects = None,
    yes: Sure = False,  # noqa: FBT002 - the signature is typer's
) -> None:
    """Record what was really paid, to the cent and the day."""
    from optioneer.money.ledger import KINDS
    from optioneer.study.record.facts import PaidFact

    must_be_case(case)
    _check_known(kind, KINDS, "--kind")
    told = {"date": on, "kind": kind, "what": what, "payee": payee}
    bill = _cents(amount, _currency(case))
    cents = bill if received else -bill
    fact = well_formed(lambda: PaidFact.model_validate({**told, "cents": cents}))
    _ask(fact, _last_plan(case), yes=yes)
    _put(case, fact, f"{'received' if received else 'paid'} on {on}, {kind}", corrects)


@shell.app.command("fitted")
def fitted(
    case: shell.CasePath,
    option: Annotated[str, typer.Argument(metavar="OPTION", help="Id of the option.")],
    on: On,
    amount: AmountPaid,
    call_out: Annotated[
        Decimal,
        typer.Option("--call-out", metavar="AMOUNT", parser=_amount, help="Of the visit, on top."),
    ] = Decimal(0),
    days: Annotated[
        float | None, typer.Option("--days", metavar="N", help="Days the machine stood still.")
    ] = None,
    note: NoteText = "",
    corrects: Corrects = None,
    yes: Sure = False,  # noqa: FBT002 - the signature is typer's
) -> None:
    """Record a retrofit that was done: its bill, its visit, the days of standstill."""
    from optioneer.study.record.facts import Fitted

    read = shell.case_in(case)
    _check_known(option, read.catalogue.by_id, "OPTION")
    currency = read.machine.currency
    bill, visit = _cents(amount, currency), _cents(call_out, currency, "--call-out")
    told = {"date": on, "option": option, "cents": bill, "call_out_cents": visit}
    more = {"downtime_days": days, "note": note}
    fact = well_formed(lambda: Fitted.model_validate({**told, **more}))
    _ask(fact, _last_plan(case, read), yes=yes)
    _put(case, fact, f"{option} fitted on {on}", corrects)


@shell.app.command("arrived")
def arrived(
    case: shell.CasePath,
    stream: Annotated[str, typer.Argument(metavar="STREAM", help="Id of the work stream.")],
    on: On,
    margin: Annotated[
        Decimal | None,
        typer.Option("--margin", metavar="AMOUNT", parser=_amount, help="A year, as it now looks."),
    ] = None,
    note: NoteText = "",
    corrects: Corrects = None,
    yes: Sure = False,  # noqa: FBT002 - the signature is typer's
) -> None:
    """Record that a kind of work has come."""
    from optioneer.study.record.facts import Arrived

    read = shell.case_in(case)
    _check_known(stream, [one.id for one in read.growth.stream], "STREAM")
    earned = None if margin is None else float(margin)
    told = {"date": on, "stream": stream, "margin": earned, "note": note}
    fact = well_formed(lambda: Arrived.model_validate(told))
    _ask(fact, _last_plan(case, read), yes=yes)
    _put(case, fact, f"{stream} came on {on}", corrects)


@shell.app.command("withdraw")
def withdraw(
    case: shell.CasePath,
    entry: Annotated[
        int, typer.Argument(metavar="N", parser=shell._integer, help="Number of the entry.")
    ],
    note: NoteText = "",
) -> None:
    """Record that something paid, fitted or arrived was recorded by mistake; both entries stay."""
    from optioneer.study.record.facts import Withdrawn

    must_be_case(case)
    what = well_formed(lambda: Withdrawn(note=note))
    _put(case, what, f"entry {entry} counts no more", entry)


def _put(case: Path, what: "RecordedFact | Withdrawn", said: str, corrects: int | None) -> None:
    put(case, what, lambda number: f"Recorded: {said} (entry {number}).", corrects=corrects)


def _currency(folder: Path) -> str:
    """The currency of a case, whatever may be wrong with its other files."""
    from optioneer.files.case.toml_files import read_toml
    from optioneer.files.plain.source import source

    found = read_toml(source(folder, "machine.toml"))
    if found.faults:
        raise CaseError(found.faults)
    machine: Machine = found.facts["machine"]
    return machine.currency


def _last_plan(case: Path, read: "Case | None" = None) -> "Planned":
    """What was planned with the last decision; without one, what the case says as it is."""
    from optioneer.files.record.entries import read_record
    from optioneer.study.advice.package_choice import BASE, named_package
    from optioneer.study.record.decide import plan_to_compare

    decisions = read_record(case).decisions
    if decisions:
        return decisions[max(decisions)].planned
    known = shell.case_in(case) if read is None else read
    package = named_package(known, BASE)
    return plan_to_compare(known, package, tuple(one.option for one in known.catalogue.options))


def _ask(fact: "RecordedFact", planned: "Planned", *, yes: bool) -> None:
    """Refuse what is unlikely and not said to be right all the same.

    Raises
    ------
    RequestError
        It is.
    """
    from optioneer.study.record.unlikely import unlikely

    found = unlikely(fact, planned)
    if found and not yes:
        raise RequestError(
            f"{'; '.join(found)}. Is that right? Then say so with --yes; nothing is recorded yet."
        )


def _check_known(word: str, known: Collection[str], where: str) -> None:
    if word not in known:
        raise RequestError(f"{where}: there is no '{word}'. {did_you_mean(word, known)}")
