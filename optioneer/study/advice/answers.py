"""What is answered to the question what to order."""

from datetime import date
from typing import Literal

from pydantic import Field

from optioneer.study.advice.purse import FromAccount
from optioneer.study.answer import Answer, DrawnAnswer, Verdict, Waiting, waiting_at
from optioneer.study.unknowns.answers import HangsOn
from optioneer.study.worth.outcome import Outcome


class PackageFigures(Answer):
    """What one package costs over the horizon, without the bounds on it.

    Net present cost (NPC): money out less money in, discounted to the order date [money].
    """

    id: str = Field(description="Id of the candidate, or `advised`, `base`, `all`, `asked`.")
    options: tuple[str, ...] = Field(description="Everything fitted, standards included.")
    price: float = Field(description="What the dealer is paid for machine and options [money].")
    npc: float = Field(description="Mean NPC under the learned policy, the number advised on.")
    npc_se: float = Field(description="Standard error of `npc`.")
    outcome: Outcome = Field(description="What the shop has in the end.")


class PackageAnswer(PackageFigures):
    """What one package costs over the horizon."""

    hindsight: float = Field(description="Mean NPC with retrofits chosen knowing the future.")
    rule: float = Field(description="Mean NPC under the rule that counts only work already here.")
    learned: float = Field(description="The same as `npc`.")


class OptionAnswer(Answer):
    """What the advice says of one option."""

    option: str
    verdict: Verdict
    otherwise: float | None = Field(
        description="NPC of the best package with the other choice less NPC of the advised one "
        "[money]; none when there is no other choice."
    )
    otherwise_se: float | None = Field(description="Paired standard error of `otherwise`.")
    close_call: bool = Field(
        description="The 95 % interval of `otherwise` holds nothing, or `otherwise` is below the "
        "gap to the best that is left in its cluster, where that is known."
    )
    chance_fitted_later: float = Field(description="Share of futures in which it is retrofitted.")
    median_year_fitted: float | None = Field(
        description="Median year of the retrofit, where there is one [years after first chips]."
    )
    present_cost_fitted_later: float = Field(
        description="Expected present cost of retrofitting it, 0 where it is not, its share of "
        "call-outs included [money]."
    )
    regret_share: float | None = Field(
        default=None, description="Share of futures in which the other choice is cheaper."
    )
    mean_regret: float | None = Field(
        default=None,
        description="What choosing as advised costs more than the other choice where it does, "
        "averaged over all futures: what knowing which of the two is cheaper would save [money].",
    )
    unpaid: float | None = Field(
        default=None,
        description="Share of futures in which the account cannot pay for it when it is wanted "
        "later; where it is ordered: in the best package without it, for it or what would be "
        "fitted in its slot. None where retrofits are not paid from the account.",
    )
    break_even_chance: float | None = Field(
        default=None,
        description="Chance of the likeliest stream that relies on the option at which ordering it "
        "now stops or starts to pay, the chances of all that rely on it scaled together, the "
        "nearest such turn; none when it never turns or was not asked for. A stream relies on an "
        "option when one of its ways holds it or something that requires it.",
    )
    break_even_multiplier: float | None = Field(
        default=None,
        description="Likeliest retrofit multiplier at which the same turns; low, likely, high and "
        "eased ones scaled together, from a fifth to twenty times what they are.",
    )
    hangs_on: tuple[HangsOn, ...] | None = Field(
        default=None,
        description="The one to three figures that turn the verdict within the ranges in which "
        "they may be, one at a time; empty where it stands. Looked at are chances, margins, "
        "arrivals, lives, fallbacks, drivers, multipliers, later prices and the stay; none where "
        "there is no other choice, and under a budget or caution, where it was not looked at.",
    )

    @property
    def waiting(self) -> Waiting | None:
        """How likely it is fitted later; none where it is not left for a retrofit."""
        left = self.verdict == "leave for retrofit"
        return waiting_at(self.chance_fitted_later) if left else None


class FrontierPoint(Answer):
    """The best package that costs no more than its price."""

    price: float
    npc: float
    options: tuple[str, ...]


class Learning(Answer):
    """What one thing would be worth to know before the order.

    Of a stream: whether it comes, and in the early, middle or late third of its arrivals. Of a
    driver: whether it turns out in its low, middle or high third.
    """

    kind: Literal["stream", "driver"]
    id: str
    worth: float = Field(
        description="NPC of the advised package less the mean NPC when the package, and only the "
        "package, is chosen knowing the answer [money]. Each package is chosen on other futures "
        "than it is valued on, so this is not inflated; by chance it can be below 0."
    )
    worth_se: float = Field(description="Paired standard error of `worth`.")


class Information(Answer):
    """What knowing more would be worth."""

    perfect_information: float = Field(
        description="NPC of the advised package less the mean over futures of the least NPC that "
        "anyone could reach knowing the future, within the same budget if there is one [money]."
    )
    perfect_information_se: float | None = Field(
        default=None, description="Paired standard error of `perfect_information`."
    )
    likeliest_future_plan_costs: float | None = Field(
        default=None,
        description="NPC, over all futures, of the package that is best in the single likeliest "
        "one, less NPC of the advised package [money]. In the likeliest future every stream with a "
        "chance of one half or more arrives in its likeliest year with its likeliest margin, the "
        "others never come, margins do not swing and multipliers are the likeliest.",
    )
    likeliest_future_plan: tuple[str, ...] | None = Field(
        default=None, description="What that package holds, standards included."
    )
    learning: tuple[Learning, ...] = Field(
        default=(), description="Every stream and driver, what is best worth knowing first."
    )


class SearchAnswer(Answer):
    """How a search among too many packages went, and how far from the best it may have ended."""

    slots: int = Field(description="Slots of the clusters that were searched.")
    packages: float = Field(description="Packages that they make, about.")
    looked_at: int = Field(description="Packages that were compared.")
    kept: int = Field(
        description="Packages that were valued on all futures; `otherwise`, the frontier and the "
        "information are the best among these."
    )
    stopped: Literal["time", "interrupt"] | None = Field(
        description="What ended the search before it was done, if anything did."
    )
    batches: int = Field(
        description="Independent sets of futures on which a programme with the future known was "
        "bounded from below."
    )
    batch_futures: int = Field(description="Futures in each set.")
    gap: float | None = Field(
        description="NPC of the advised package less that bound, on the same futures, averaged "
        "over the sets [money]: no package saves more on average, whatever the policy. None "
        "where nothing was proven."
    )
    gap_se: float | None = Field(description="Standard error of `gap`; none with a single set.")
    gap_at_most: float | None = Field(
        description="Upper end of the one-sided 95 % interval of the gap (Mak, Morton & Wood 1999)."
    )
    npc_at_least: float | None = Field(description="NPC of the advised package less `gap`.")


class Turned(Answer):
    """A verdict that caution turns."""

    option: str
    on_average: Verdict = Field(description="When only the average counts.")
    cautious: Verdict = Field(description="When the worst tenth weighs more.")


class Caution(Answer):
    """What an attitude to risk does to the advice.

    Packages are then chosen by ``(1 - weight) x mean + weight x mean of the worst tenth`` of the
    outcome, and `otherwise` of an option is counted in it too.
    """

    weight: float = Field(description="Of the worst tenth, 0..1.")
    rated: float = Field(description="Outcome of the advised package when so weighed [money].")
    bound: float = Field(
        description="No package has more when so weighed, on the same futures [money]."
    )
    gap: float = Field(description="`bound` less `rated`: what is not proven [money].")
    on_average: PackageAnswer = Field(description="The package that is best on average.")
    costs_on_average: float = Field(
        description="NPC of the advised package less that of `on_average` [money]."
    )
    costs_on_average_se: float = Field(description="Paired standard error of it.")
    saves_in_worst_tenth: float = Field(
        description="Worst tenth of the outcome of the advised package less that of `on_average` "
        "[money]."
    )
    turned: tuple[Turned, ...] = Field(description="Verdicts that are not the same in both.")


class OrdinaryWork(Answer):
    """How much work that is there from first chips on would just make buying pay."""

    hours_a_week: float = Field(
        description="Attended hours a week that it takes on the machine as it stands, 52 weeks "
        "a year."
    )
    at_hours_a_week: float | None = Field(
        description="The same at which buying and not buying have the same mean outcome, the same "
        "ordered and fitted; none where ten times as much would not pay."
    )
    margin_an_hour: float = Field(description="What an hour of it earns, before tax [money].")
    at_margin_an_hour: float | None = Field(
        description="The same at which buying just pays; none where ten times as much does not."
    )


class Pays(Answer):
    """Whether buying pays at all: the advised package against no machine [money]."""

    gain: float = Field(description="Mean outcome of buying less that of not buying.")
    gain_se: float = Field(description="Paired standard error of `gain`.")
    worse_share: float = Field(description="Share of futures in which buying leaves less.")
    at_margins: float | None = Field(
        description="Multiple of all margins at which buying and not buying have the same mean "
        "outcome, the same ordered and fitted; none where no work is gained by buying."
    )
    ordinary: OrdinaryWork | None = Field(
        default=None,
        description="By how much ordinary work it would just pay; none where the case tells no "
        "hours of such work.",
    )


class Proof(Answer):
    """How near the advice is to the best that anyone could do who cannot see ahead."""

    futures: int = Field(description="Futures that the gap is proven on.")
    bound: float = Field(
        description="Mean NPC that no package, however its retrofits are decided without seeing "
        "ahead, gets below [money]."
    )
    bound_se: float = Field(description="Standard error of `bound`.")
    gap: float = Field(description="NPC of the advised package less `bound` [money].")
    gap_se: float = Field(description="Paired standard error of `gap`.")
    decided: float = Field(
        description="The part of the advised package's NPC that hangs on what is chosen: less the "
        "base price, the resale of the bare machine and streams that no option serves [money]."
    )
    gap_share: float | None = Field(
        description="`gap` as a share of `decided`; none where that is 0."
    )


class Precision(Answer):
    """How the number of futures was chosen."""

    asked: float | None = Field(
        description="Half of the 95 % interval of the advised package's NPC that was asked for, as "
        "a share of that NPC; none when futures were drawn until no verdict is a close call."
    )
    reached: float = Field(description="That share, as it came out.")
    close_calls: int = Field(description="Verdicts still too close to call.")
    tries: tuple[int, ...] = Field(description="Numbers of futures that were tried.")
    enough: bool = Field(description="Whether what was asked for was reached below the limit.")


class Quantiles(Answer):
    """How a figure is spread over the futures."""

    p10: float
    p50: float
    p90: float


class YearOfHours(Answer):
    """Hours in one year after first chips, averaged over its periods in each future."""

    year: int = Field(description="1 is the first year after first chips.")
    start: date
    end: date = Field(description="First day after the year.")
    needed: Quantiles = Field(
        description="Hours that all the work which is here would take, each kind by the owned ways "
        "that earn most [hours/year]."
    )
    attended: float = Field(description="Hours there are without paying for more [hours/year].")
    short: float = Field(description="Share of futures in which more are needed than there are.")
    worth: Quantiles = Field(
        description="What one more attended hour would earn, in money of the year [money/hour]; at "
        "most what one beyond costs."
    )


class HoursAnswer(Answer):
    """Hours needed, hours there, and what one more is worth, with the advised package."""

    attended: float = Field(description="Hours a year there are [hours/year].")
    beyond: float | None = Field(description="What one more costs [money/hour]; none: no more.")
    beyond_after_tax: float | None = Field(
        default=None,
        description="The same after income tax, as what an hour is worth [money/hour].",
    )
    exact: bool = Field(
        description="Whether all that hours tie together was valued as one, so that the mix of "
        "work is exact in every package; if not, related options were valued apart at a price of "
        "an hour and the packages told with the real mix."
    )
    years: tuple[YearOfHours, ...]


class Rare(Answer):
    """A stream that the futures drawn hardly show to come, or hardly show to stay away."""

    stream: str
    name: str
    chance: float = Field(description="That it comes, with the nudges of its drivers.")
    times: float = Field(
        description="Futures of those drawn in which the rarer of coming and staying away is due."
    )
    futures: int = Field(description="Futures from which on it is seen often enough.")


class Advice(DrawnAnswer):
    """The answer to the question what to order."""

    budget: float | None = Field(default=None, description="Limit on the price that was asked for.")
    advised: PackageAnswer
    packages: tuple[PackageAnswer, ...]
    options: tuple[OptionAnswer, ...]
    frontier: tuple[FrontierPoint, ...]
    information: Information
    pays: Pays | None = Field(default=None, description="Whether buying pays at all.")
    search: SearchAnswer | None = Field(
        default=None,
        description="The search, where a cluster has too many packages to value them all.",
    )
    break_evens: bool = Field(default=False, description="Whether break-evens were searched for.")
    unsought: tuple[str, ...] = Field(
        default=(), description="Options whose break-evens the time limit left no time for."
    )
    caution: Caution | None = Field(
        default=None, description="The attitude to risk that was asked for; none: the mean counts."
    )
    from_account: FromAccount | None = Field(
        default=None, description="None where retrofits are not paid from the account."
    )
    hours: HoursAnswer | None = Field(
        default=None, description="Hours with the advised package; none where they are not limited."
    )
    visits_apart: tuple[str, ...] = Field(
        default=(),
        description="Named call-outs that too many packages share to value them together: those "
        "who use one pay for its visits in turns, and packages are told with each visit paid once.",
    )
    proof: Proof | None = Field(default=None, description="None unless it was asked for.")
    precision: Precision | None = Field(
        default=None, description="None when the number of futures was given."
    )
    rare: tuple[Rare, ...] = Field(
        default=(),
        description="Streams seen too seldom for averages, errors and bounds to be trusted.",
    )
