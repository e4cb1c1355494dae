"""What is answered to the question when to order what was left for a retrofit."""

from pydantic import Field

from optioneer.study.answer import Answer, DrawnAnswer


class WhenToFit(Answer):
    """When to order what is left for a retrofit; several options are one where fitted together."""

    options: tuple[str, ...] = Field(description="Fitted together, the dearest first.")
    chance: float = Field(description="Share of futures in which the advice fits it.")
    work: tuple[str, ...] = Field(description="Streams that want it.")
    adds: tuple[float, ...] = Field(
        description="Share of the margin of each of these that it adds, none of the others fitted."
    )
    said: bool = Field(
        description="Whether the words are good enough to go by; if not, no few words are."
    )
    margin: float | None = Field(
        default=None,
        description="Work that is here and wants it must leave at least so much a year, before "
        "tax, in money of that year; where it is of several kinds so much more with it than "
        "without [money/year]; none: any.",
    )
    years: float | None = Field(
        default=None,
        description="It must likely run on so long once it is fitted [years]; none: any time.",
    )
    brings: float | None = Field(
        default=None,
        description="That times the years it likely runs on must be at least so much [money]; "
        "none: any.",
    )
    price: float | None = Field(
        default=None,
        description="It must be quoted at no more than that, without call-out, in money of that "
        "day [money]; none: any price.",
    )
    after: float | None = Field(
        default=None,
        description="So long after first chips it is fitted whatever is here [years]; none: only "
        "on the rest.",
    )
    fits: float = Field(description="Share of futures in which these words fit it.")
    costs: float = Field(
        description="What going by the words for all that hangs together costs beyond the policy "
        "that the advice is told by, on fresh futures [money]."
    )
    costs_se: float = Field(description="Paired standard error of `costs`.")


class Acting(DrawnAnswer):
    """When to order what the advised package leaves for a retrofit."""

    advised: tuple[str, ...] = Field(description="What the advised package holds.")
    npc: float = Field(description="NPC of the advised package as advised, on fresh futures.")
    costs: float = Field(
        description="What going by all the words costs beyond that, on the same futures [money]."
    )
    costs_se: float = Field(description="Paired standard error of `costs`.")
    share: float = Field(description="`costs` as a share of `npc`.")
    never_costs: float = Field(
        description="What fitting nothing of all this ever would cost beyond it [money]."
    )
    conditions: tuple[WhenToFit, ...] = Field(description="The likeliest first.")
