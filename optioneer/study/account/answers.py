"""What is answered to how the account fares with the machine in it, and what a lender sees."""

from datetime import date

from pydantic import Field

from optioneer.study.answer import Answer


class CentsBand(Answer):
    """An amount over the futures, each one that is reached in a future [cents]."""

    p10: int = Field(description="One future in ten has less.")
    p50: int
    p90: int


class MonthOfAccount(Answer):
    """One month under one plan."""

    month: str = Field(description="Such as 2027-09.")
    balance: CentsBand = Field(description="At its end.")
    below: float = Field(description="Share of futures that fall below what to keep in it.")


class PlanAccount(Answer):
    """The account under one plan with the machine in it."""

    id: str
    months: tuple[MonthOfAccount, ...]
    lowest: CentsBand = Field(description="Lowest balance at the end of a day.")
    below: float = Field(description="Share of futures that fall below what to keep at all.")
    worst_month: str | None = Field(description="Month in which most futures are below; none: none")
    worst_below: float = Field(description="Share of futures that are below in that month.")
    line_cents: int = Field(
        description="Credit line that keeps nine futures in ten at what to keep or above."
    )
    line_all_cents: int = Field(description="The same for all of them.")


class MachineMonth(Answer):
    """What the machine moves through the account in one month, expected and not contracted."""

    month: str
    earned: CentsBand = Field(description="By work, fallback included.")
    net: CentsBand = Field(description="Less upkeep, retrofits and tax.")


class OrderNow(Answer):
    """An option that the advice waits for and the account may not pay for later."""

    option: str
    refused: float = Field(description="Share of futures in which it, or what it comes with, waits")
    otherwise: float = Field(
        description="What ordering it now costs more, mean [money]; below zero: order it now."
    )


class Affordable(Answer):
    """What it does to fit retrofits only where the account under a plan can pay them."""

    plan: str
    refused: float = Field(description="Share of futures in which a retrofit could not be paid.")
    costs: float = Field(description="What that costs on average [money].")
    options: tuple[OrderNow, ...] = Field(description="Those that are waited for.")


class AccountAnswer(Answer):
    """How the account fares with the machine in it."""

    currency: str
    package: tuple[str, ...] = Field(description="Options ordered beyond standard.")
    futures: int
    first_chips: date
    until: date = Field(description="Last day of the contracted timeline.")
    ramp: tuple[float, ...]
    keep_cents: int
    line_rate: float | None = Field(
        default=None,
        description="What the credit line costs, nominal a year: its interest is in the balances "
        "of every future; none: there is no line, and days below zero bear no interest.",
    )
    machine: tuple[MachineMonth, ...]
    plans: tuple[PlanAccount, ...]
    affordable: tuple[Affordable, ...] = Field(
        default=(), description="By plan; empty: retrofits are not tied to the account."
    )


class SourceOrUse(Answer):
    """Where money for the price comes from, or where it goes."""

    what: str
    cents: int
    source: bool


class CoverYear(Answer):
    """What a lender sees of one calendar year; ratios are none where nothing is due."""

    year: int
    work: CentsBand = Field(description="What work brings with the machine, fallback included.")
    rest_cents: int = Field(description="Of the rest of the business and tax saved by the order.")
    left: CentsBand = Field(description="For the lender: both, less upkeep and tax.")
    half_cents: int = Field(description="The same if half of the work comes; half of the futures.")
    service_cents: int = Field(
        description="Principal, interest, rents and buyout due; of the interest of a credit line "
        "what half of the futures bear."
    )
    p10: float | None = Field(description="Cover: left over due; one future in ten has less.")
    p50: float | None
    half: float | None = Field(description="Cover if half of the work comes, half of the futures.")
    owed_cents: int = Field(description="Owed at its end.")
    worth_cents: int = Field(description="What the bare machine would bring then.")


class Payrolls(Answer):
    """Months of payroll in hand on the lowest day of a year."""

    year: int
    p10: float
    p50: float


class BankAnswer(Answer):
    """What a lender sees of one way of paying."""

    currency: str
    plan: str
    price_cents: int
    sources: tuple[SourceOrUse, ...]
    years: tuple[CoverYear, ...]
    payrolls: tuple[Payrolls, ...] = Field(description="Empty: the case tells no payroll.")
    least_p10: float | None = Field(description="Least cover of any year, one future in ten.")
    least_p50: float | None

    @property
    def indebted(self) -> tuple[CoverYear, ...]:
        """The years up to the last one in which anything is due or owed."""
        owing = [k for k, one in enumerate(self.years) if one.service_cents or one.owed_cents]
        return self.years[: max(owing, default=0) + 1]
