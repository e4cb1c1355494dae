"""Tables agree with the answers they show."""

import re
from decimal import Decimal

from hypothesis import assume, given
from hypothesis import strategies as st

from optioneer.model.catalogue import Catalogue
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.reports.advice.tables import (
    BUDGETS,
    changes,
    few,
    frontier_table,
    packages_table,
    price_line,
    verdict_groups,
)
from optioneer.reports.page.money import Figures
from optioneer.reports.page.order import order_lines
from optioneer.study.advice.answers import Advice, FrontierPoint
from optioneer.study.answer import Verdict
from optioneer.study.cash.price import quote_lines
from optioneer.study.problem.arrays import problem_of
from tests import shop

DOLLARS = Figures("USD")
VERDICTS: tuple[Verdict, ...] = ("order now", "leave for retrofit", "leave off")


def advised_with(verdicts: list[Verdict], costs: list[float]) -> Advice:
    answers = (
        answer.model_copy(update={"verdict": verdict, "otherwise": cost})
        for answer, verdict, cost in zip(shop.verdicts(), verdicts, costs, strict=True)
    )
    return shop.advice(options=tuple(answers))


COUNT = len(shop.options())


@given(
    st.lists(st.sampled_from(VERDICTS), min_size=COUNT, max_size=COUNT),
    st.lists(st.floats(0, 1e6), min_size=COUNT, max_size=COUNT),
)
def test_every_option_appears_exactly_once_under_its_verdict(
    verdicts: list[Verdict], costs: list[float]
) -> None:
    advice = advised_with(verdicts, costs)
    groups = verdict_groups(shop.case(), advice, DOLLARS)
    shown = [entry.name for group in groups for entry in group.entries]
    assert sorted(shown) == sorted(option.name for option in shop.options())
    for group in groups:
        assert group.title.endswith(f"({len(group.entries)})")


@given(
    st.lists(st.sampled_from(VERDICTS), min_size=COUNT, max_size=COUNT),
    st.permutations([100.0 * place for place in range(COUNT)]),
)
def test_within_a_verdict_the_dearest_other_choice_comes_first(
    verdicts: list[Verdict], costs: list[float]
) -> None:
    advice = advised_with(verdicts, costs)
    names = shop.case().catalogue.by_id
    cost = {names[answer.option].name: answer.otherwise for answer in advice.options}
    for group in verdict_groups(shop.case(), advice, DOLLARS):
        shown = [cost[entry.name] for entry in group.entries]
        assert shown == sorted(shown, key=lambda value: -(value or 0.0))


def money_in(text: str) -> list[Decimal]:
    return [Decimal(found.replace(",", "")) for found in re.findall(r"\$([\d,.]*\d)", text)]


@given(st.lists(st.integers(0, 10**9), min_size=COUNT, max_size=COUNT), st.integers(1, 10**6))
def test_the_price_shown_adds_up_to_the_cent(cents: list[int], discount: int) -> None:
    options = tuple(
        option.model_copy(update={"price": amount / 100})
        for option, amount in zip(shop.options(), cents, strict=True)
    )
    bundle = shop.case().bundles[0].model_copy(update={"discount": discount / 100})
    case = shop.case(catalogue=Catalogue(options=options), bundles=(bundle,))
    paid = [
        amount
        for option, amount in zip(options, cents, strict=True)
        if option.option in shop.ADVISED and not option.standard
    ]
    assume(any(paid))
    price = (31_200_000 + sum(paid) - discount) / 100
    line = price_line(case, shop.package("advised", shop.ADVISED, price, 1.0), DOLLARS)
    machine, charges, credited, total = money_in(line)
    assert machine + charges - credited == total


def test_the_order_adds_up_to_the_price_the_engine_charges() -> None:
    case = shop.case()
    problem = problem_of(case)
    first = [next(s for s in range(p.size) if p.price[s] < 1e300) for p in problem.lattices]
    for axis, lattice in enumerate(problem.lattices):
        for state in range(lattice.size):
            if lattice.price[state] > 1e300:  # an infinite price marks what cannot be ordered
                continue
            package = [*first[:axis], state, *first[axis + 1 :]]
            pairs = list(zip(problem.lattices, package, strict=True))
            held = {problem.options[o] for cluster, s in pairs for o in cluster.options(s)}
            price = problem.base_price + sum(float(cluster.price[s]) for cluster, s in pairs)
            assert float(sum(line.price for line in order_lines(case, held))) == price


def test_the_order_in_words_is_the_contract_line_by_line() -> None:
    standard = {"fitting": "factory-only", "standard": True}
    case = shop.case(
        catalogue=Catalogue(
            options=(
                shop.option("tank-large", "Large tank", 900.0, slot="tank", fitting="factory-only"),
                shop.option("lamp", "Lamp", 40.0, delete_credit=10.0, **standard),
                shop.option("tank", "Tank", 50.0, slot="tank", delete_credit=20.0, **standard),
            )
        ),
        bundles=(),
        packages=(),
    )
    for package, cents in (
        (Package(id="bare", options=(), without=("tank", "lamp")), [31_200_000, -1000, -2000]),
        (
            Package(id="large", options=("tank-large",), without=("lamp",)),
            [31_200_000, 90_000, -1000],
        ),
    ):
        words = order_lines(case, everything_fitted(Orders(case.catalogue), package))
        assert [100 * line.price for line in words] == cents
        assert [line.cents for line in quote_lines(case, package)] == cents


def frontier(prices: list[int]) -> tuple[FrontierPoint, ...]:
    return tuple(FrontierPoint(price=p, npc=-p, options=()) for p in sorted(set(prices)))


@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=60))
def test_a_shortened_frontier_keeps_its_ends_and_its_order(prices: list[int]) -> None:
    whole = frontier(prices)
    shown = few(whole)
    assert shown[0] == whole[0]
    assert shown[-1] == whole[-1]
    assert list(shown) == sorted(set(shown), key=lambda point: point.price)
    assert len(shown) <= max(BUDGETS, 1)
    assert len(whole) > BUDGETS or shown == whole


def test_a_shortened_frontier_says_what_it_leaves_out() -> None:
    advice = shop.advice(frontier=frontier(list(range(300_000, 400_000, 1000))))
    assert (
        "93 packages between them are not shown"
        in frontier_table(shop.case(), advice, DOLLARS).note
    )


def test_a_budget_row_names_what_it_adds_and_drops() -> None:
    before, after = shop.frontier()[-2:]
    said = changes(shop.case(), before, after)
    assert "+ 60 tool pockets" in said
    assert "- 24 tool pockets" in said


def test_packages_stand_side_by_side_with_the_advice_first() -> None:
    table = packages_table(shop.case(), shop.advice(), DOLLARS)
    assert table.heads == ("", "Advice", "Second quote", "Standard", "Everything")
    assert all(len(row) == len(table.heads) for row in table.rows)
