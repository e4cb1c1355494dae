"""What is answered to the question what to ask the dealer for."""

from pydantic import Field

from optioneer.study.answer import Answer, Verdict


class OptionBargain(Answer):
    """What one option is worth to the buyer, prices of all others as quoted."""

    option: str
    verdict: Verdict
    price: float = Field(description="What the dealer asks with the order [money].")
    turns_at: float | None = Field(
        description="Price with the order at which the verdict turns, its later price held: of an "
        "option that is ordered the most it is worth with the order, of another the price at which "
        "it would be ordered. None where no price of 0 or more does, and of a standard item "
        "[money]."
    )
    credit: float | None = Field(
        default=None, description="What the dealer gives for leaving a standard item off [money]."
    )
    credit_turns_at: float | None = Field(
        default=None,
        description="Credit from which on leaving a standard item off pays; none of others and of "
        "one that the machine cannot do without [money].",
    )
    exact: bool = Field(
        description="Whether the turn is told by arithmetic: the order's price counts in "
        "proportion, and nothing else hangs on it. Otherwise it was searched for."
    )
    written_price: float | None = Field(
        default=None,
        description="What a retrofit likely costs at the prices of the order date, call-out and "
        "standstill left out: the price to get in writing [money]. None of an option that is "
        "ordered or cannot be fitted later.",
    )
    written_worth: float | None = Field(
        default=None,
        description="What it is worth to have that price in writing for `written_years`: NPC of "
        "the best package without it less NPC of the best with it [money].",
    )
    written_worth_se: float | None = Field(
        default=None, description="Paired standard error of `written_worth`."
    )


class Week(Answer):
    """What first chips a week later cost."""

    costs: float = Field(
        description="Outcome of the advised package as dated less its outcome with first chips "
        "seven days later, on one calendar [money]."
    )
    costs_se: float = Field(description="Paired standard error of `costs`.")
    futures: int = Field(description="Futures that it is told from.")


class LevelQuote(Answer):
    """Another quote, and the discount that makes it as good as this one."""

    case: str
    currency: str = Field(description="Of the discounts: that of the quote they are taken off.")
    beyond: float = Field(
        description="NPC of its advised package less NPC of the one advised here, on one calendar "
        "and the same futures [money of this case]."
    )
    beyond_se: float = Field(description="Paired standard error of `beyond`.")
    price: float = Field(description="Price of its advised package [its money].")
    discount: float | None = Field(
        description="Off its price, in its money: the two are level. None where it is the better "
        "one already."
    )
    own_discount: float | None = Field(
        description="Off the price here, in the money of this case: the two are level. None where "
        "this one is the better one already."
    )


class Bargain(Answer):
    """How far to go with the dealer, one thing after the other: the worths do not add up."""

    case: str
    currency: str
    futures: int
    seed: int
    written_years: float = Field(description="How long a later price would be held [years].")
    advised: tuple[str, ...] = Field(description="What the advised package holds.")
    price: float = Field(description="Price of the advised package [money].")
    options: tuple[OptionBargain, ...] = Field(description="In the order of the catalogue.")
    week: Week
    quotes: tuple[LevelQuote, ...]
