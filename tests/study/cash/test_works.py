"""What the site needs goes through the same account, to the cent of its purchases."""

from pathlib import Path

from optioneer.files.case.read import read_case
from optioneer.model.machine import Package
from optioneer.study.cash.cash import cash
from optioneer.study.cash.works import site_works, unpriced_works
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.ready.ready import readiness
from tests.paying_cases import BARE, case

DEMO = with_first_chips(read_case(Path(__file__).parents[3] / "catalogs_demo" / "mill-turn"))
FOREMAN = next(package for package in DEMO.packages if package.id == "foreman")


def test_works_add_up_to_the_purchases_that_ready_tells() -> None:
    works = site_works(DEMO, FOREMAN)
    assert sum(work.cents for work in works) == readiness(DEMO, FOREMAN).purchases_cents
    assert unpriced_works(DEMO, FOREMAN) == ()


def test_works_leave_the_account_under_every_plan() -> None:
    works = site_works(DEMO, FOREMAN)
    for plan in cash(DEMO, FOREMAN, works=works).answer.plans:
        site = [entry.cents for entry in plan.entries if entry.kind == "site"]
        assert sum(site) == -sum(work.cents for work in works)
        assert plan.contract_cents == cash(DEMO, FOREMAN).answer.plans[0].contract_cents


def test_a_case_without_a_site_has_no_works() -> None:
    assert site_works(case(), BARE) == ()
    assert unpriced_works(case(), Package(id="x")) == ()
