"""The answer to the question which of several packages or quotes is better."""

from datetime import date

from pydantic import Field

from optioneer.study.advice.answers import PackageAnswer
from optioneer.study.answer import SEARCHED, Answer


class Served(Answer):
    """What a package earns of one work stream."""

    stream: str
    earned: float = Field(description="Share of the margin as ordered, from first chips on.")
    reachable: float = Field(description="The largest share that retrofits can raise it to.")
    way: bool = Field(description="Whether this machine has a way of doing it at all.")


class Compared(PackageAnswer):
    """One package beside the others, on the same futures; money in the common currency."""

    label: str = Field(description="A, B, C ...: short for the package in the tables.")
    case: str = Field(description="Case of the quote that it belongs to.")
    also: tuple[str, ...] = Field(description="Other names of the same package.")
    quoted_price: float = Field(description="Price in the currency of its quote [money].")
    over_best: float = Field(description="NPC beyond that of the best package here [money].")
    over_best_se: float = Field(description="Paired standard error of `over_best`.")
    close_call: bool = Field(description="The 95 % interval of `over_best` holds nothing.")
    chance_best: float = Field(
        description="Share of futures in which none here is cheaper; ties are split evenly."
    )
    mean_regret: float = Field(
        description="NPC beyond that of the package that is cheapest in the future that comes, "
        "averaged over all futures [money]."
    )
    regret_share: float = Field(description="Share of futures in which another one is cheaper.")
    serves: tuple[Served, ...] = Field(description="Every stream of the common growth.")
    quantiles: tuple[float, ...] = Field(description="Outcome at each of `levels` [money].")
    counts: tuple[int, ...] = Field(description="Futures between each two of `edges`.")


class Quote(Answer):
    """One case as it takes part."""

    case: str
    machine: str
    currency: str = Field(description="Of the quote itself.")
    rate: float = Field(description="What one unit of it is worth in the common currency.")
    order: date
    first_chips: date
    days_later: int = Field(description="First chips after the earliest here [days].")
    site: bool = Field(description="Whether what the site needs for it is told and counted.")
    without_way: tuple[str, ...] = Field(
        description="Streams of the common growth that this machine has no way of doing: only "
        "their fallback is earned."
    )
    untold: tuple[str, ...] = Field(description="Those of them that the case does not name at all.")
    left_out: tuple[str, ...] = Field(
        description="Streams that only this case names: they are in no figure."
    )


class RateTurn(Answer):
    """A rate of exchange at which another quote becomes the best one."""

    currency: str = Field(description="A currency that some quotes are in.")
    rate: float = Field(description="What one unit of it is worth in the common currency.")
    turns_at: float | None = Field(
        description="The nearest rate at which the quotes in it stop or start to be the better "
        "ones; none between half and twice the rate."
    )


class Comparison(Answer):
    """Packages of one or several quotes on the same growth and the same futures."""

    currency: str = Field(description="Of all money here but `quoted_price`.")
    rate_date: date | None = Field(description="The day of the rates of exchange.")
    growth: str = Field(description="Case whose growth, horizon and draws are used.")
    futures: int
    seed: int
    quotes: tuple[Quote, ...]
    streams: tuple[str, ...] = Field(description="Ids of the streams of the common growth.")
    rate_turns: tuple[RateTurn, ...] = Field(
        default=(), description="One a foreign currency; none where all quotes are in one."
    )
    packages: tuple[Compared, ...] = Field(description="The cheapest over all futures first.")
    searched: bool = Field(default=False, description=SEARCHED)
    levels: tuple[float, ...] = Field(description="Shares of futures below each quantile.")
    edges: tuple[float, ...] = Field(description="Bounds of equal steps of NPC [money].")
