"""What the dealer's quote asks for: when he is paid, until when it holds, what it delivers."""

from datetime import date

from pydantic import Field

from optioneer.model.fact import Amount, Fact, Name, Rate, Share
from optioneer.model.when import When


class Stage(Fact):
    """One payment to the dealer."""

    share: Share = Field(description="Of the price.")
    when: When = Field(description="When it is due.")


class Dealer(Fact):
    """The terms of the dealer's quote: they hold however the machine is paid for."""

    stages: tuple[Stage, ...] = Field(
        default=(),
        description="Payments that the dealer asks for; their shares add up to 1; none: what each "
        "plan says, all at delivery less its deposit at the order.",
    )
    quoted: date | None = Field(default=None, description="Day of the quote.")
    valid_until: date | None = Field(default=None, description="Last day on which it holds.")
    freeze: When | None = Field(
        default=None, description="Last day on which the order can still be changed."
    )
    delivery_term: Name = Field(
        default="", description="Who carries the machine how far, at whose risk, as quoted."
    )


class Bridge(Fact):
    """A short loan for what the dealer is owed before a lender lets go."""

    rate: Rate = Field(description="Nominal, a year.")
    fee: Amount = Field(default=0.0, description="Paid when it first pays the dealer [money].")
