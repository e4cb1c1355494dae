"""A shop whose figures are known, hidden from the tool: how much fewer questions cost."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.study.asking.questions import AskRequest, next_questions
from optioneer.study.unknowns.ranges import Ranged, Spreads, every_ranged
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.figures import Figure, figure_of, with_figure
from optioneer.study.worth.packages import package_holding, states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.oracle.cases import between, case_of, option, stream

WIDE = Spreads(nudge=1.0, chance=0.25, part=0.4, rate=0.0, years=0.0, wait=1.0, fallback=0.25)
"""How far off the figures are at first: nobody has asked yet."""

TRIES = 20
"""Guesses at a figure until one is found that the truth is not too far from."""

Choose = Callable[[Case, frozenset[Figure]], Figure | None]
"""The next figure to ask for; none when none is worth it."""


@dataclass(frozen=True)
class Hidden:
    """A shop that answers questions about itself.

    Parameters
    ----------
    truth
        Its case.
    found
        The same, valued.
    figures
        What can be asked for.
    """

    truth: Case
    found: Valued
    figures: tuple[Figure, ...]

    @classmethod
    def of(cls, truth: Case) -> "Hidden":
        """The shop of a case."""
        asked = (each.figure for each in every_ranged(truth, WIDE))
        plain = {Figure(each.what, each.name) for each in asked if each.what != "later-price"}
        order = sorted(plain, key=str)
        return cls(truth, valued_case(truth), tuple(order))

    def guessed(self, seed: int) -> Case:
        """Its case as guessed by somebody who has asked nothing: off as far as a triangle says."""
        random, case = np.random.default_rng(seed), self.truth
        for figure in self.figures:
            ranged = _ranged(self.truth, figure)
            for _ in range(TRIES):
                guess = with_figure(case, figure, ranged.at(float(random.uniform(size=2).mean())))
                around = _ranged(guess, figure)
                if around.low <= figure_of(self.truth, figure) <= around.high:
                    case = guess
                    break
        return case

    def told(self, case: Case, figure: Figure) -> Case:
        """The case once the shop has told a figure."""
        return with_figure(case, figure, figure_of(self.truth, figure))

    def excess(self, case: Case) -> float:
        """What ordering as `case` advises costs beyond the best order, a part of the best price."""
        guess = valued_case(case)
        ordered = package_holding(self.truth, "guess", guess.options(best_package(guess)))
        best = best_package(self.found)
        more = self.found.cost(states_of(self.found, ordered)) - self.found.cost(best)
        return float(more.mean()) / self.found.price(best)


def _ranged(case: Case, figure: Figure) -> Ranged:
    """How far a figure may be off; not at all where it cannot."""
    for each in every_ranged(case, WIDE):
        if (each.figure.what, each.figure.name) == (figure.what, figure.name):
            return each
    here = figure_of(case, figure)
    return Ranged(figure, here, here, here)


def curve(hidden: Hidden, guess: Case, choose: Choose, most: int) -> list[float]:
    """Excess after 0, 1, 2 ... questions, until none is worth it."""
    case, settled = guess, frozenset[Figure]()
    found = [hidden.excess(case)]
    for _ in range(most):
        figure = choose(case, settled)
        if figure is None:
            break
        case, settled = hidden.told(case, figure), settled | {figure}
        found.append(hidden.excess(case))
    return found


def played(
    hidden: Hidden, guess: Case, chosen: Choose, random: Choose, most: int
) -> tuple[list[float], list[float]]:
    """Excess by number of chosen questions, and of as many others."""
    one = curve(hidden, guess, chosen, most)
    other = curve(hidden, guess, random, len(one) - 1)
    return one, other


def worth_most(case: Case, settled: frozenset[Figure]) -> Figure | None:
    """The figure that the tool would ask for next."""
    request = AskRequest(case, settled=settled, spreads=WIDE)
    asked = next_questions(request).questions
    return Figure(asked[0].what, asked[0].name) if asked else None


def quickly(case: Case, settled: frozenset[Figure]) -> Figure | None:
    """The same, valuing anew only where what the futures tell leaves no question."""
    quick = AskRequest(case, settled=settled, spreads=WIDE, quick=True)
    asked = next_questions(quick).questions
    return Figure(asked[0].what, asked[0].name) if asked else worth_most(case, settled)


def at_random(hidden: Hidden, seed: int) -> Choose:
    """Any figure that was not asked for yet."""
    random = np.random.default_rng(seed)
    order = [hidden.figures[int(i)] for i in random.permutation(len(hidden.figures))]

    def choose(case: Case, settled: frozenset[Figure]) -> Figure | None:
        del case
        return next((figure for figure in order if figure not in settled), None)

    return choose


def invented_shop(seed: int, *, futures: int) -> Case:
    """A small shop with close choices, its figures drawn: five options, four kinds of work."""
    random = np.random.default_rng([seed, 15])

    def near(figure: float) -> float:
        return float(figure * random.uniform(0.8, 1.25))

    options = [
        option("built-in", near(7e3)),
        option("large", near(10e3), slot="magazine"),
        option("small", near(5.5e3), slot="magazine"),
        option("probe", near(9e3), 1.5),
        option("cell", near(17e3), 1.4),
    ]
    ways = (Way(options=("large",)), Way(options=("small",), share=0.6))
    about = {"drivers": {"trade": 0.6}}
    streams = [
        _work("early", ["built-in"], near(5e3), chance=near(0.5)),
        _work("many-tools", [], near(6e3), chance=near(0.6), way=ways),
        _work("tight", ["probe"], near(7e3), chance=near(0.5), **about),
        _work("nights", ["cell"], near(13e3), chance=near(0.45), **about),
    ]
    growth = {"horizon_years": 6.0, "discount_rate": 0.08, "futures": futures, "seed": 7}
    case = case_of(options, streams, growth=growth, base_price=60e3)
    drawn = case.growth.model_copy(update={"driver": (Driver(id="trade", name="Trade"),)})
    return case.model_copy(update={"growth": drawn})


def _work(name: str, needs: Sequence[str], margin: float, **more: object) -> Stream:
    kept = {"fallback": 0.3, "lasts_years": 4.0}  # not at an end of what they may be
    made = stream(name, between(0.5, 1.5, 2.5), margin, needs, **kept, **more)
    return made.model_copy(update={"margin": between(0.7 * margin, margin, 1.4 * margin)})
