"""What the figures must not be used for."""

from optioneer.model.case import Case


def cautions(case: Case) -> tuple[str, ...]:
    """The cautions that go with any advice on `case`, the weightiest first."""
    return (
        (
            "These are planning figures. They rest on the prices, chances and margins in this "
            "case; get firm quotes, retrofit prices included, before you sign."
        ),
        (
            "Contract terms, tax and financing are for licensed practice: have the order, the "
            "retrofit rights and the tax treatment checked by people licensed for it where you are."
        ),
        (
            "Power, air, floor, rigging and guarding of the machine and of every retrofit follow "
            "local codes and the builder's instructions, which stand above anything written here."
        ),
        (
            f"The model looks {case.growth.horizon_years:g} years ahead from first chips and knows "
            "only the work streams you listed; retrofits need a builder who still offers them."
        ),
    )
