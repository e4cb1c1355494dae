"""When to order what waits in the hand-made case of the faces: answers made up by hand."""

from optioneer.study.acting.answers import Acting, WhenToFit


def condition(options: tuple[str, ...], work: tuple[str, ...], **more: object) -> WhenToFit:
    """A condition good enough to go by, unless told."""
    told = {"chance": 0.5, "adds": (0.8,) * len(work), "said": True, "fits": 0.48}
    return WhenToFit.model_validate(
        {"options": options, "work": work, "costs": 90.0, "costs_se": 20.0} | told | more
    )


def acting(*conditions: WhenToFit) -> Acting:
    """The answer with these conditions."""
    return Acting(
        case="shop",
        currency="USD",
        futures=4096,
        seed=7,
        advised=(),
        npc=400e3,
        costs=120.0,
        costs_se=30.0,
        share=120.0 / 400e3,
        never_costs=20e3,
        conditions=conditions,
    )


def every_kind() -> Acting:
    """One condition of each kind."""
    return acting(
        condition(("tool-setter",), ("tight",), chance=0.61),
        condition(("robot-cell", "auto-door", "robot-interface"), ("night",), margin=31e3, years=2),
        condition(("work-probe",), ("tight", "night"), margin=9.5e3, price=8.8e3),
        condition(("coolant-70",), ("titanium",), brings=52e3, after=1.5),
        condition(("oil-skimmer",), ("bars",), years=0.5),
        condition(("big-bore",), ("bars",), said=False, chance=0.03, fits=0.0),
    )
