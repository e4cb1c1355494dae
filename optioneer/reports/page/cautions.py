"""What the figures must not be used for."""

from optioneer.model.case import Case

COVER_MEANS = (
    "Cover: what is left for the lender over principal, interest, rents and buyout due in the year "
    "(debt service coverage). Left: the rest of the business, work with the machine, less upkeep "
    "and tax; retrofits are decided when their work has come and are not in it."
)
"""What cover is, for whoever reads the table."""

FOR_THE_BANK = (
    "Expected figures are those of the futures that the shop has told; nobody has promised them.",
    "The machine's worth is the shop's estimate, not an appraisal.",
    (
        "Planning figures: the loan contract, tax and the accounts of the shop decide. Ask your "
        "accountant before you sign."
    ),
)
"""What the page for the bank cautions of."""


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
        *every_retrofit_paid(case),
    )


def every_retrofit_paid(case: Case) -> tuple[str, ...]:
    """What counts every retrofit as paid although those of the case wait for the account."""
    if case.paying is None or case.paying.account.retrofits != "account":
        return ()
    return (
        (
            "Retrofits wait for the account in the advice, in what a package is worth, in the "
            "account and for the bank; what-ifs, comparisons, questions, the bargain, the rules "
            "for what waits and sensitivities count every retrofit as paid."
        ),
    )
