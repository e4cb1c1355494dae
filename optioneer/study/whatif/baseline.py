"""The advice on a case as numbers that other figures move: one package's cost, and each verdict."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.model.case import Case
from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.advice.verdicts import short_advice_on
from optioneer.study.answer import Verdict
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.executor import work_map
from optioneer.study.problem.futures import with_draws
from optioneer.study.site_costs.site_bills import States
from optioneer.study.whatif.answers import Stand
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.revaluation import PieceErrand, Pieces, piece_means, pieces_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.timing.policy import Mapper

Means = Sequence[Floats]
"""Mean cost of each state, shape (P, ...) a piece [money]."""


@dataclass(frozen=True)
class OptionChoice:
    """One option that can be chosen otherwise.

    Parameters
    ----------
    cluster
        Where it sits.
    advised
        States of that cluster with the choice that is advised, shape (P,).
    """

    option: str
    verdict: Verdict
    cluster: int
    advised: Bools


@dataclass(frozen=True)
class AdvisedCase:
    """What is advised on a case, as numbers that its figures move.

    Parameters
    ----------
    package
        The advised package.
    choices
        The options with another choice, in the order of the file.
    npc
        Of the advised package, as the advice says [money].
    """

    found: Valued
    package: States
    choices: tuple[OptionChoice, ...]
    npc: float
    answers: tuple[OptionAnswer, ...]

    @property
    def options(self) -> tuple[str, ...]:
        """Ids of what the advised package holds."""
        return self.found.options(self.package)

    @property
    def site_kept(self) -> bool:
        """Whether the site adds to the costs; that part is not valued anew."""
        return bool(self.found.site.steps)

    @cached_property
    def means(self) -> tuple[Floats, ...]:
        """Mean cost of each state of each piece, on all futures, shape (P,) each [money]."""
        return *self.found.means, np.array([self.found.constant.mean()])

    @cached_property
    def told(self) -> Floats:
        """The NPC of the advised package and what each other choice costs, as the advice says."""
        told = {answer.option: answer.otherwise or 0.0 for answer in self.answers}
        return np.array([self.npc, *(told[choice.option] for choice in self.choices)])

    def alone(self, means: Means) -> Floats:
        """The same on some means of the pieces alone, nothing added that is not in them."""
        npc = sum(mean[state] for mean, state in zip(means, [*self.package, 0], strict=True))
        rows = [npc]
        for choice in self.choices:
            mean = means[choice.cluster]
            rows.append(mean[~choice.advised].min(axis=0) - mean[choice.advised].min(axis=0))
        return np.stack([np.asarray(row) for row in rows])

    def stands(self) -> tuple[Stand, ...]:
        """Every option as the advice has it."""
        return tuple(
            Stand(option=answer.option, verdict=answer.verdict, otherwise=answer.otherwise)
            for answer in self.answers
        )


@dataclass(frozen=True)
class Baseline:
    """What is advised on a case, and its pieces on fewer futures, to be valued again and again.

    Parameters
    ----------
    base
        Means of the pieces with all figures as in the case.
    """

    advised: AdvisedCase
    pieces: Pieces
    base: tuple[Floats, ...]

    def numbers(self, means: Means, base: Means | None = None) -> Floats:
        """NPC of the advised package, then what each other choice costs, shape (1 + C, ...).

        Parameters
        ----------
        means
            Of the pieces, with figures changed.
        base
            Of the same pieces on the same futures, with all figures as in the case; none: those
            kept here.

        Notes
        -----
        Each is what the advice says, plus what the changes add to it; what a site or hours that
        clusters share add to it stays. On fewer futures alone a close call could lie on the other
        side, and becoming right would look like turning away.
        """
        rows = self.advised.alone(means)
        told = self.advised.told - self.advised.alone(self.base if base is None else base)
        return rows + told.reshape(-1, *(1,) * (rows.ndim - 1))


def baseline_of(
    case: Case, futures: int, *, progress: Progress | None = None, far: Mapper | None = None
) -> Baseline:
    """What is advised on `case`, and its pieces on at most so many futures.

    Parameters
    ----------
    futures
        To value changed figures on; no more than the case has.
    far
        Who sweeps the clusters; none: this process.

    Raises
    ------
    RequestError
        If the number of futures is not allowed.
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    few = min(futures, case.growth.futures)
    with_draws(case, few)  # refused before anything is valued
    advised = advised_on(case, progress=progress, far=far)
    pieces = pieces_of(with_draws(advised.found.case, few))
    errands = [PieceErrand(pieces.case, piece) for piece in range(pieces.count)]
    with work_map(far, pieces.size) as run:
        base = tuple(run(piece_means, errands))
    return Baseline(advised, pieces, base)


def advised_on(
    case: Case, *, progress: Progress | None = None, far: Mapper | None = None
) -> AdvisedCase:
    """What is advised on `case`, on all its futures.

    Raises
    ------
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    must_be_swept(case, "Sensitivity")
    found = valued_case(case, progress=progress, far=far, bounds=False)
    package, advice = best_package(found), short_advice_on(found)
    return AdvisedCase(
        found=found,
        package=package,
        choices=tuple(_choices(found, package, advice.options)),
        npc=advice.advised.npc,
        answers=advice.options,
    )


def _choices(found: Valued, package: States, told: Sequence[OptionAnswer]) -> list[OptionChoice]:
    made = []
    for answer in told:
        if answer.otherwise is None:
            continue
        index = found.problem.options.index(answer.option)
        cluster = found.cluster_of(index)
        holding = found.costs[cluster].lattice.holding(index)
        made.append(
            OptionChoice(
                answer.option, answer.verdict, cluster, holding == holding[package[cluster]]
            )
        )
    return made
