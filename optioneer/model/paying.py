"""Ways of paying: the account, taxes, and the plans on offer."""

import re
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from optioneer.dates import Convention, DayCount
from optioneer.model.fact import (
    LARGEST_AMOUNT,
    Amount,
    Fact,
    Key,
    Name,
    Rate,
    Share,
    Whole,
    refusal,
)
from optioneer.model.terms import Bridge, Dealer, Stage
from optioneer.model.when import When, YearDay

Signed = Annotated[float, Field(strict=True, gt=-LARGEST_AMOUNT, lt=LARGEST_AMOUNT)]
Months = Annotated[Whole, Field(ge=1, le=480)]
DELIVERY = When(anchor="delivery")
ACCEPTED = When(anchor="accepted")
FIRST_CHIPS = When(anchor="first_chips")


EACH_PAYMENT = "each payment"
EACH_STAGE = "each stage"
_METHOD = re.compile(r"macrs-(3|5|7|10|15|20)|(straight-line|declining)-([1-9]|[1-4][0-9]|50)")
_BY_LAW = ("bonus", "section-179")
_QUARTERS = 4


def _due(found: Any) -> Any:
    return found if found == EACH_PAYMENT else When.from_words(found)


def _draw_day(found: Any) -> Any:
    return found if found is None or found == EACH_STAGE else When.from_words(found)


def _method(text: str) -> str:
    if not _METHOD.fullmatch(text):
        allowed = "Write macrs-3, -5, -7, -10, -15 or -20, straight-line-10 or declining-10."
        raise refusal("is no method of depreciation", allowed)
    return text


def _first_year(found: Any) -> Any:
    share = isinstance(found, int | float) and not isinstance(found, bool) and 0 <= found <= 1
    if not share and found not in _BY_LAW:
        what = "is no share of the first year"
        allowed = "Write a share between 0 and 1, bonus or section-179."
        raise refusal(what if isinstance(found, str) else f"{found} {what}", allowed)
    return float(found) if share else found


def _some_day(days: tuple[str, ...]) -> tuple[str, ...]:
    if not days:
        raise refusal("an empty list names no day", "Leave it out or name a day.")
    return days


def _four(amounts: tuple[float, ...]) -> tuple[float, ...]:
    if amounts and len(amounts) != _QUARTERS:
        raise refusal(f"holds {len(amounts)} figures", "Write four, one a quarter of the tax year.")
    return amounts


class Regular(Fact):
    """Money that comes or goes every month whatever is ordered."""

    name: Name = Field(description="What it is.")
    monthly: Signed = Field(description="Each month [money]; below zero: money out.")
    day: Whole = Field(ge=1, le=31, description="Day of the month; its last day if it has fewer.")
    starts: date | None = Field(default=None, alias="from", description="First day it may fall on.")
    until: date | None = Field(default=None, description="Last day it may fall on.")


class Account(Fact):
    """The bank account that everything goes through."""

    opening: Signed = Field(default=0.0, description="Balance on the morning of the order [money].")
    keep_above: Signed = Field(
        default=0.0, description="The balance should not end a day below this [money]."
    )
    borrows_at: Rate | None = Field(
        default=None,
        description="What the shop borrows at, nominal a year, at which ways of paying are "
        "compared; none: the lowest rate of a loan on offer, else the discount rate.",
    )
    credit_limit: Amount = Field(
        default=0.0, description="How far the bank lets the account go below 0 [money]."
    )
    credit_rate: Rate | None = Field(
        default=None,
        description="What the bank charges on what is below 0, nominal a year; none: what the shop "
        "borrows at.",
    )
    ramp: tuple[Share, ...] = Field(
        default=(0.25, 0.5, 0.75, 1.0),
        description="Share of its work that the machine does in each month after first chips; all "
        "of it from then on (common practice, no source).",
    )
    retrofits: Literal["account", "loan", "free"] = Field(
        default="free",
        description="Where retrofits are paid from: `account`: only fitted where it can pay them, "
        "`loan`: lent as the plan lends, `free`: fitted when they pay, whatever is there.",
    )
    payroll: Amount | None = Field(default=None, gt=0, description="Wages of a month [money].")
    regular: tuple[Regular, ...] = Field(default=(), description="The rest of the business.")


class PayDays(Fact):
    """Which days banks are open, and where a payment goes that falls on another."""

    country: str | None = Field(
        default=None, description="ISO 3166 code whose holidays count; none: weekends only."
    )
    subdivision: str | None = Field(default=None, description="Code of its state or region.")
    convention: Convention = Field(
        default="following", description="Where a payment goes that falls on a day off."
    )


class SalesTax(Fact):
    """Tax on the price, such as value-added tax."""

    rate: Rate = Field(description="Of the price, as a fraction.")
    due: Annotated[When | Literal["each payment"], BeforeValidator(_due)] = Field(
        default=DELIVERY,
        description="When all of it is due, or `each payment`: with every payment to the dealer.",
    )
    reclaimed_after_days: Whole | None = Field(
        default=None, ge=0, le=3650, description="Days until it comes back; none: it never does."
    )


class IncomeTax(Fact):
    """What the purchase saves in tax on income or profit: planning figures."""

    rate: Rate = Field(description="Rate on the next unit of income, as a fraction.")
    depreciation: Annotated[str, AfterValidator(_method)] = Field(
        description="Method and years: `macrs-7`, `straight-line-10` or `declining-10`."
    )
    declining_factor: float = Field(
        default=2.0, gt=1, le=3, description="Of `declining`: multiple of the straight-line rate."
    )
    first_year_share: Annotated[
        Share | Literal["bonus", "section-179"], BeforeValidator(_first_year)
    ] = Field(
        default=0.0,
        description="Share deducted at once in the first year; `bonus` or `section-179`: by the "
        "figures of the year in the table of tax years.",
    )
    acquired: date | None = Field(
        default=None,
        description="Binding contract for the machine; picks the bonus rate; none: the order date.",
    )
    in_service: When = Field(default=FIRST_CHIPS, description="Ready for use: depreciation begins.")
    other_property: Amount = Field(
        default=0.0,
        description="Other depreciable property placed in service that tax year, before its last "
        "quarter [money]; decides on the mid-quarter convention.",
    )
    other_by_quarter: Annotated[tuple[Amount, ...], AfterValidator(_four)] = Field(
        default=(),
        description="The same quarter by quarter of the tax year, four figures, the last quarter "
        "too; added to the above [money].",
    )
    year_starts_month: Whole = Field(default=1, ge=1, le=12, description="Tax year's first month.")
    pays: Annotated[tuple[YearDay, ...], AfterValidator(_some_day)] = Field(
        default=("12-31",), description="Days on which a tax year's tax is paid, in equal parts."
    )

    @property
    def placed_by_quarter(self) -> tuple[float, ...]:
        """Other property placed in service in each quarter of the tax year [money]."""
        first, *later = self.other_by_quarter or (0.0,) * _QUARTERS
        return (self.other_property + first, *later)

    def year_of(self, day: date) -> int:
        """The calendar year in which the tax year of `day` begins."""
        return day.year - (day.month < self.year_starts_month)


class Step(Fact):
    """A change in the size of the instalments."""

    after: Whole = Field(ge=1, le=480, description="How many instalments come before it.")
    times: float = Field(
        strict=True, ge=0, le=100, description="Size from then on, the first ones being 1."
    )


class Payoff(Fact):
    """Paying off all that is owed before the end."""

    when: When = Field(description="The day.")
    fee: Share = Field(default=0.0, description="Charged for it, as a share of what is owed then.")


class Plan(Fact):
    """A way of paying for the machine."""

    id: Key = Field(description="Id, unique among plans.")
    name: Name = Field(default="", description="What people call it; default: its id.")
    dealer: Name = Field(default="dealer", description="Who is paid for the machine.")


class StagedPlan(Plan):
    """The dealer is paid in stages, from the account."""

    kind: Literal["staged"] = Field(default="staged", description="`staged`, `loan` or `lease`.")
    stages: tuple[Stage, ...] = Field(
        default=(), description="Their shares add up to 1; none: those that the dealer asks for."
    )


class LoanPlan(Plan):
    """A lender pays out the price less the deposit, and is repaid in instalments."""

    kind: Literal["loan"] = Field(default="loan", description="`staged`, `loan` or `lease`.")
    lender: Name = Field(default="bank", description="Who lends.")
    deposit: Share = Field(default=0.0, description="Share of the price paid from the account.")
    deposit_when: When | None = Field(
        default=None, description="When the deposit is paid; none: at the order."
    )
    drawn: Annotated[When | Literal["each stage"] | None, BeforeValidator(_draw_day)] = Field(
        default=None,
        description="When the lender lets the loan go, or `each stage`: as the dealer is to be "
        "paid; none: at the acceptance, or at delivery where the dealer asks for no stages.",
    )
    bridge: Bridge | None = Field(
        default=None,
        description="Pays the dealer what is owed before the loan is let go; none: the account.",
    )
    stages: tuple[Stage, ...] = Field(
        default=(),
        description="The dealer's stages, if the lender pays them as they fall due; the deposit "
        "is used up first.",
    )
    rate: Rate = Field(description="Nominal, a year.")
    months: Months = Field(description="From one instalment before the first to the last.")
    every_months: Whole = Field(default=1, ge=1, le=12, description="From one to the next.")
    first_payment: When | None = Field(
        default=None, description="First instalment; none: one interval after the last draw."
    )
    fee: Amount = Field(default=0.0, description="Paid to the lender at the first draw [money].")
    balloon: Amount = Field(default=0.0, description="On top of the last instalment [money].")
    day_count: DayCount = Field(default="30/360", description="How days of interest count.")
    repay: Literal["level", "equal-principal"] = Field(
        default="level", description="Equal instalments, or equal parts of principal plus interest."
    )
    payment: Amount | None = Field(
        default=None, gt=0, description="Level instalment as offered [money]; none: computed."
    )
    interest_only: Whole = Field(
        default=0, ge=0, le=480, description="Leading months that pay interest only."
    )
    steps: tuple[Step, ...] = Field(default=(), description="Changes in size, in order.")
    interest_before: Literal["first-payment", "monthly", "added"] | None = Field(
        default=None,
        description="Interest before the first interval: with the first instalment, paid monthly, "
        "or added to the loan monthly; none: paid monthly if there are stages.",
    )
    early_payoff: Payoff | None = Field(default=None, description="Paying it off early.")
    retrofits: Literal["cash", "loan"] = Field(
        default="cash",
        description="How retrofits are paid: at once, or lent at this rate for as many months.",
    )


class LeasePlan(Plan):
    """A lessor buys the machine and lets it for rents."""

    kind: Literal["lease"] = Field(default="lease", description="`staged`, `loan` or `lease`.")
    lessor: Name = Field(default="lessor", description="Who buys the machine and lets it.")
    deposit: Share = Field(default=0.0, description="Share of the price paid from the account.")
    deposit_when: When | None = Field(
        default=None, description="When the deposit is paid; none: at the start."
    )
    start: When = Field(
        default=DELIVERY, description="First day of the lease: the lessor pays out the rest."
    )
    bridge: Bridge | None = Field(
        default=None,
        description="Pays the dealer what is owed before the lease starts; none: the account.",
    )
    monthly: Amount = Field(gt=0, description="Rent of each interval [money].")
    months: Months = Field(description="How long it lasts.")
    every_months: Whole = Field(default=1, ge=1, le=12, description="From one rent to the next.")
    in_advance: Whole = Field(
        default=0, ge=0, le=480, description="Rents paid on the first day; 0: rents in arrears."
    )
    buyout: Amount = Field(default=0.0, description="Paid at the end to own the machine [money].")
    fee: Amount = Field(default=0.0, description="Paid to the lessor at the start [money].")
    treated_as: Literal["lease", "purchase"] | None = Field(
        default=None,
        description="For income tax, as your accountant decides: a true `lease`, whose rents are "
        "deducted, or a `purchase` in disguise, written off from the start, of whose rents the "
        "interest is deducted; none: as a lease, and asked about.",
    )
    quoted_price: Amount | None = Field(
        default=None,
        gt=0,
        description="Price that rents and buyout were quoted for; those of other packages move in "
        "proportion; none: they stay as they are whatever the package [money].",
    )


AnyPlan = Annotated[StagedPlan | LoanPlan | LeasePlan, Field(discriminator="kind")]


class Paying(Fact):
    """Everything about paying for the machine."""

    dealer: Dealer = Field(default=Dealer(), description="Terms of the dealer's quote.")
    account: Account = Field(default=Account(), description="The account.")
    calendar: PayDays = Field(default=PayDays(), description="Business days.")
    sales_tax: SalesTax | None = Field(default=None, description="Tax on the price.")
    income_tax: IncomeTax | None = Field(default=None, description="Tax on income.")
    plan: tuple[AnyPlan, ...] = Field(default=(), description="The plans on offer.")
    use: Key | None = Field(default=None, description="Plan that the advice counts on.")

    @model_validator(mode="before")
    @classmethod
    def _use_after_the_plans(cls, found: Any) -> Any:
        """In TOML a last line `use = ...` falls into the last plan: it is meant for the file."""
        return with_use_on_top(found) if isinstance(found, dict) else found

    @model_validator(mode="after")
    def _known_use(self) -> "Paying":
        known = [plan.id for plan in self.plan]
        if self.use is not None and self.use not in known:
            allowed = f"Allowed: {', '.join(known)}." if known else "There is no plan."
            raise refusal(f"there is no plan '{self.use}'", allowed)
        return self


def with_use_on_top(values: dict[str, Any]) -> dict[str, Any]:
    """The values of a file, with `use` at the end of the last plan moved to the top."""
    plans = values.get("plan")
    if "use" in values or not isinstance(plans, list) or not plans:
        return values
    last = plans[-1]
    if not isinstance(last, dict) or "use" not in last:
        return values
    rest = {key: value for key, value in last.items() if key != "use"}
    return {**values, "plan": [*plans[:-1], rest], "use": last["use"]}
