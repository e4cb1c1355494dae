"""What to ask the dealer before the order: the questions that the advice raises."""

from collections.abc import Callable, Sequence

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.machine import Package
from optioneer.model.paying import LoanPlan, StagedPlan
from optioneer.model.when import milestones
from optioneer.study.advice.answers import Advice
from optioneer.study.dealer.wish import Wish, WishItem, WishQuestion, is_barred, wish_of


def questions(
    case: Case, package: Package, *, advice: Advice | None = None
) -> tuple[WishQuestion, ...]:
    """What to ask the dealer about a package.

    Parameters
    ----------
    package
        What is to be ordered; it can be ordered.
    advice
        The advice on the case, if there is one: what it leaves for a retrofit that is planned or
        possible is asked about, and what is too close to call. Without it every option is asked
        about that is not ordered, can be fitted later beside what is, and has work relying on it.

    Returns
    -------
    tuple of Question
        The weightiest first; a topic that has nothing to ask about is left out.
    """
    wish = wish_of(case, package, advice)
    return tuple(found for ask in QUESTIONS if (found := ask(wish)) is not None)


def _price(wish: Wish) -> WishQuestion:
    bundles = [one for one in wish.case.bundles if wish.held.issuperset(one.options)]
    return WishQuestion(
        topic="price",
        title="Price",
        text="Please quote the machine and each option listed above as a firm price of its own, "
        f"{_validity(wish)}, and confirm that everything named works together."
        + (" Please confirm these reductions for options ordered together." if bundles else ""),
        asked=tuple(
            WishItem(
                what=", ".join(wish.by_id[name].name for name in one.options),
                figure=-one.discount,
                unit="money",
                note="together",
            )
            for one in bundles
        ),
    )


def _validity(wish: Wish) -> str:
    until = wish.case.paying.dealer.valid_until if wish.case.paying else None
    if until is None:
        return "say until when it holds"
    return f"confirm that it holds until {until.isoformat()}"


def _open_question(wish: Wish) -> WishQuestion | None:
    if not wish.open:
        return None
    return WishQuestion(
        topic="undecided",
        title="Not yet decided",
        text="We are undecided on these. Please give your best price for each as an alternative "
        "to the list above, so that we can decide on it.",
        asked=tuple(
            WishItem(option=o.option, what=o.name, note=_state(wish, o)) for o in wish.open
        ),
    )


def _state(wish: Wish, option: Option) -> str:
    return "in the list above" if option.option in wish.held else "not in the list above"


def _prepare(wish: Wish) -> WishQuestion | None:
    if not wish.later:
        return None
    return WishQuestion(
        topic="prepare",
        title="What can be prepared for",
        text="We may have these fitted later. What can be prepared at the factory now (mounting "
        "faces, cable ways, pipes, signals, space in the cabinet), and at what price each?",
        asked=tuple(_item_with_notes(wish, option) for option in wish.later),
    )


def _item_with_notes(wish: Wish, option: Option) -> WishItem:
    names = [*option.requires, *([option.eased_by] if option.eased_by else [])]
    have = [wish.by_id[n].name for n in dict.fromkeys(names) if n in wish.held]
    lack = [wish.by_id[n].name for n in dict.fromkeys(names) if n not in wish.held]
    notes = (
        *([f"ordered for it: {', '.join(have)}"] if have else []),
        *([f"also needed or helpful: {', '.join(lack)}"] if lack else []),
    )
    return WishItem(option=option.option, what=option.name, note="; ".join(notes))


def _later_price(wish: Wish) -> WishQuestion | None:
    if not wish.later:
        return None
    return WishQuestion(
        topic="later price",
        title="Firm price for a later retrofit",
        text="Please give a firm price for fitting each of these later, on site, all work and "
        "travel included; say for how many years it holds, how it is indexed, and what it does to "
        "the warranty. The figures are what we reckon with so far, travel not included.",
        asked=tuple(
            WishItem(
                option=option.option,
                what=option.name,
                figure=option.listed_later * multiplier.likely,
                unit="money",
            )
            for option in wish.later
            if (multiplier := _multiplier(wish, option)) is not None
        ),
    )


def _multiplier(wish: Wish, option: Option) -> Triangular | None:
    eased = option.eased_by in wish.held and option.eased is not None
    return option.eased if eased else option.multiplier


def _downtime(wish: Wish) -> WishQuestion | None:
    if not wish.later:
        return None
    return WishQuestion(
        topic="downtime",
        title="Standstill and lead time of a retrofit",
        text="How many working days does the machine stand still for each of these, how long "
        "before must it be ordered, and can several be done in one visit? What does one visit "
        "cost?",
        asked=tuple(
            WishItem(option=o.option, what=o.name, figure=o.downtime_days, unit="days")
            for o in wish.later
        ),
    )


def _never(wish: Wish) -> WishQuestion | None:
    closed = [
        option
        for option in wish.case.catalogue.options
        if option.option not in wish.held
        and not option.retrofittable
        and not option.standard
        and wish.wanted_by_work(option)
        and not is_barred(wish.case, option, wish.held)
    ]
    if not closed:
        return None
    return WishQuestion(
        topic="never",
        title="Never later?",
        text="We take it that these can only be built in at the factory. Please confirm, or say "
        "what fitting them later would cost.",
        asked=tuple(WishItem(option=o.option, what=o.name) for o in closed),
    )


def _deletion(wish: Wish) -> WishQuestion | None:
    filled = {
        slot.name
        for slot in wish.case.catalogue.slots
        for o in slot.options
        if o.option in wish.held
    }
    off = [
        WishItem(
            option=o.option,
            what=o.name,
            figure=o.delete_credit,
            unit="money",
            note="left off in the list above",
        )
        for slot in wish.case.catalogue.slots
        if slot.name not in filled
        for o in slot.options
        if o.standard
    ]
    stays = [
        WishItem(option=o.option, what=o.name)
        for o in wish.case.catalogue.standards
        if o.option in wish.held and o.delete_credit is None and not wish.wanted_by_work(o)
    ]
    if not off and not stays:
        return None
    return WishQuestion(
        topic="deletion credit",
        title="Credits for what we leave off",
        text="What do you take off the price for each of these standard items if we do without "
        "it, and what if an option replaces it?",
        asked=(*off, *stays),
    )


def _lead_time(wish: Wish) -> WishQuestion:
    dates = wish.case.dates
    weeks = (
        ("order to ready to ship", dates.build_weeks, "weeks"),
        ("ready to ship to our door", dates.ship_weeks, "weeks"),
        ("our door to handing over", dates.commission_days, "days"),
    )
    return WishQuestion(
        topic="lead time",
        title="Lead time",
        text="Which of the options listed above lengthens the lead time, until when can the order "
        f"still be changed{_freeze(wish)}, {_delivery(wish)}what do we get if the machine is late?",
        asked=tuple(
            WishItem(what=what, figure=figure or None, unit=unit) for what, figure, unit in weeks
        ),
    )


def _freeze(wish: Wish) -> str:
    freeze = wish.case.paying.dealer.freeze if wish.case.paying else None
    if freeze is None:
        return ""
    return f" (we take it: until {freeze.on(milestones(wish.case.dates)).isoformat()})"


def _delivery(wish: Wish) -> str:
    term = wish.case.paying.dealer.delivery_term if wish.case.paying else ""
    return f"is the price with delivery '{term}', and " if term else "and "


_DATA: Sequence[tuple[str, str, str]] = (
    ("full_load_kva", "full load of the nameplate", "kVA"),
    ("voltage_v", "rated voltage", "V"),
    ("frequency_hz", "frequency", "Hz"),
    ("air_l_min", "average air demand, free air", "L/min"),
    ("air_peak_l_min", "peak air demand", "L/min"),
    ("air_bar", "least pressure at the inlet", "bar"),
    ("mass_kg", "mass", "kg"),
    ("feet", "feet", "in number"),
    ("shipping_width_m", "shipping width", "m"),
    ("shipping_height_m", "shipping height", "m"),
    ("sump_l", "coolant sump", "L"),
)
"""Field of `Needs`, words and unit of what the installation drawing should tell."""


def _supplies(wish: Wish) -> WishQuestion:
    needs = wish.case.site.needs if wish.case.site else None
    told = [
        WishItem(what=what, figure=getattr(needs, field) if needs else None, unit=unit)
        for field, what, unit in _DATA
    ]
    held = [wish.by_id[name] for name in sorted(wish.held)]
    added = (
        ("connected load that the options add", sum(o.kva for o in held), "kVA"),
        ("air that the options add", sum(o.air_l_min for o in held), "L/min"),
    )
    return WishQuestion(
        topic="power and air",
        title="Power, air, floor and way in",
        text="Please send the installation drawing and these figures for the machine as listed "
        "above, with the largest motor, the fuse and short-circuit ratings, the quality class of "
        "the air (ISO 8573-1) and the ground it needs. The figures are what we plan with.",
        asked=(*told, *(WishItem(what=w, figure=f, unit=u) for w, f, u in added if f)),
    )


def _acceptance(wish: Wish) -> WishQuestion:
    del wish
    return WishQuestion(
        topic="acceptance",
        title="Acceptance test",
        text="What is tested at the factory and what again on our floor, on which part and to "
        "which standard (geometry: ISO 230-1; positioning: ISO 230-2), who brings material and "
        "tools, what follows when a figure is missed, and when do risk and warranty begin?",
    )


def _payment(wish: Wish) -> WishQuestion:
    paying = wish.case.paying
    plans = paying.plan if paying else ()
    held = (plan.stages for plan in plans if isinstance(plan, StagedPlan | LoanPlan))
    asked = paying.dealer.stages if paying else ()
    stages = asked or next((stages for stages in held if stages), ())
    return WishQuestion(
        topic="payment",
        title="Payment stages",
        text="Please confirm the stages of payment, what secures what we pay before the machine "
        "is here, and how much stays open until it is accepted."
        if stages
        else "Which stages of payment do you offer, what secures what we pay before the machine is "
        "here, and how much stays open until it is accepted?",
        asked=tuple(
            WishItem(what=str(stage.when).replace("_", " "), figure=stage.share, unit="share")
            for stage in stages
        ),
    )


Ask = Callable[[Wish], WishQuestion | None]
"""Makes a question, if there is anything to ask."""

STANDING_QUESTIONS: Sequence[Ask] = (_deletion, _lead_time, _supplies, _acceptance, _payment)
"""What is asked whatever is ordered."""

QUESTIONS: Sequence[Ask] = (
    _price,
    _open_question,
    _prepare,
    _later_price,
    _downtime,
    _never,
    *STANDING_QUESTIONS,
)
"""What makes the questions, in the order in which they are asked."""
