"""When to retrofit: the rule that counts only work already here, and what is learned on top."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from optioneer.valuation.lattice import Indices
from optioneer.valuation.moves import best_choice, best_moves, taken
from optioneer.valuation.signals import Signals
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import View

Mapper = Callable[..., Iterable[Any]]
"""``map``, or one that works in parallel and keeps the order."""

FEW_CASES = 1e-9
"""Relative size of a direction of the signals below which nothing can be learned from it."""

ROUNDING = 1e-7
"""Share of a signal's sum of squares that counts as noise."""


@dataclass(frozen=True)
class Correction:
    """What was learned for one period, for the estimate of each state's cost from the next on.

    Parameters
    ----------
    weight
        On the rule's own estimate, shape (P,); 1 unless a margin swings.
    slope
        On the signals, shape (P, F) [money].
    low, high
        What the costs were while learning, shape (P,) [money]; estimates stay within.
    """

    weight: Floats
    slope: Floats
    low: Floats
    high: Floats

    def of(self, states: Indices) -> "Correction":
        """The part for `states`."""
        return Correction(
            self.weight[states], self.slope[states], self.low[states], self.high[states]
        )

    def applied(self, rule: Floats, signals: Floats) -> Floats:
        """The learned estimate from the rule's, shape (P, n), and the signals, shape (F, n)."""
        estimate: Floats = self.slope @ signals
        estimate += rule * self.weight[:, None]
        return np.clip(estimate, self.low[:, None], self.high[:, None], out=estimate)


@dataclass(frozen=True)
class Policy:
    """How to decide: the rule, with corrections by period where any were learned.

    Parameters
    ----------
    signals
        What the corrections look at; those of the whole lattice.
    corrections
        By period; a period without one is decided by the rule alone.
    """

    signals: Signals | None = None
    corrections: tuple[Correction | None, ...] = ()

    def of(self, states: Indices) -> "Policy":
        """The same policy for some of the states."""
        kept = tuple(None if c is None else c.of(states) for c in self.corrections)
        return Policy(self.signals, kept)

    def learned(self, t: int) -> Correction | None:
        """What was learned for period `t`, if anything."""
        return self.corrections[t] if self.corrections else None

    def estimate(self, view: View, t: int) -> Floats:
        """Expected cost of each state from t + 1 on, as seen at the start of t, shape (P, n).

        States that are not valid get a finite, meaningless figure.
        """
        known = view.known_level(t)
        return self.corrected(view, t, known, rule_estimate(view, t, known))

    def corrected(self, view: View, t: int, known: Floats, rule: Floats) -> Floats:
        """The rule's estimate, shape (P, n), with what was learned for period `t`."""
        correction = self.learned(t)
        if correction is None or self.signals is None:
            return rule
        return correction.applied(rule, self.signals.at(view, t, known))


def rule_estimate(view: View, t: int, known: Floats) -> Floats:
    """Cost of each state from t + 1 on, counting only the streams here at t, shape (P, n).

    Parameters
    ----------
    view
        A block of n futures.
    t
        Period of the decision.
    known
        From ``view.known_level(t)``.

    Notes
    -----
    The lesser of retrofitting at t + 1 and never, on expected margins. Compared across the states
    that can be moved to at t this weighs fitting now, fitting next period and never.
    States that are not valid get a finite, meaningless figure.
    """
    lattice, timeline = view.lattice, view.timeline
    if t == timeline.periods - 1:
        return horizon_cost(view)
    kept = held_cost(view, t + 2, known)
    kept[~lattice.valid] = np.inf
    best: Floats = best_moves(lattice, view.charges(t + 1), kept)
    best += flow_cost(view, t + 1, view.expected_margin(known, t + 1))
    best[~lattice.valid] = 0.0
    return best


def held_cost(view: View, t: int, known: Floats) -> Floats:
    """Expected cost from t on of keeping each state for good, shape (P, n) [money]."""
    lattice, timeline = view.lattice, view.timeline
    fixed = lattice.upkeep * timeline.annuity[t] - timeline.at_start[-1] * lattice.resale
    cost: Floats = lattice.lost @ view.remaining(known, t)
    cost += fixed[:, None]
    return cost


def flow_cost(view: View, t: int, margin: Floats) -> Floats:
    """Upkeep and lost margin of each state during t, shape (P, n) [money].

    Parameters
    ----------
    view
        A block of n futures.
    t
        Period.
    margin
        Discounted margin of the streams during t, shape (K, n) [money].
    """
    lattice, timeline = view.lattice, view.timeline
    cost: Floats = lattice.lost @ margin
    upkeep = lattice.upkeep * (timeline.during[t] * timeline.dt)
    cost += upkeep[:, None]
    return cost


def learned_policy(signals: Signals, views: Sequence[View], run: Mapper) -> Policy:
    """Corrections fitted backwards in time on the futures of `views`.

    Parameters
    ----------
    signals
        What to look at.
    views
        Blocks of the futures to learn from, not those to value on.
    run
        How to go through the blocks.

    Notes
    -----
    Least-squares Monte Carlo: in each period what the rule's estimate leaves of the realised
    cost-to-go of every state, under the policy learned so far, is regressed on the signals, of
    which all states share one matrix.

    References
    ----------
    Longstaff & Schwartz, Review of Financial Studies 14 (2001) 113-147, section 1.
    """
    periods = views[0].timeline.periods
    corrections: list[Correction | None] = [None] * periods
    to_go = list(run(horizon_cost, views))
    for t in range(periods - 1, 0, -1):
        looks = list(run(partial(_look, signals, t), zip(views, to_go, strict=True)))
        if t < periods - 1:
            moments = list(run(_moments, looks))
            corrections[t] = _correction(sum(moments[1:], start=moments[0]), signals)
        policy = Policy(signals, tuple(corrections))
        to_go = list(run(partial(_stepped, t, policy), looks))
    return Policy(signals, tuple(corrections))


def horizon_cost(view: View) -> Floats:
    """Less the resale value of each state, shape (P, n) [money]."""
    ends = -view.timeline.at_start[-1] * view.lattice.resale
    return np.repeat(ends[:, None], view.futures.count, axis=1)


def policy_step(
    view: View, t: int, policies: Sequence[Policy], to_go: Sequence[Floats]
) -> list[Floats]:
    """Realised cost of each state from t on, given that from t + 1 on, by policy, (P, n) each."""
    known = view.known_level(t)
    rule = rule_estimate(view, t, known)
    return [
        _decided(view, t, policy.corrected(view, t, known, rule), later)
        for policy, later in zip(policies, to_go, strict=True)
    ]


def _decided(view: View, t: int, estimate: Floats, to_go: Floats) -> Floats:
    choice = best_choice(view.lattice, view.charges(t), estimate)
    cost: Floats = taken(to_go, choice.state)
    cost += choice.paid
    cost += flow_cost(view, t, view.expected_margin(view.known_level(t), t))
    return cost


@dataclass(frozen=True)
class _Look:
    """One block in one period while learning: what is seen, and what it came to."""

    view: View
    rule: Floats
    signals: Floats
    to_go: Floats


def _look(signals: Signals, t: int, block: tuple[View, Floats]) -> _Look:
    view, to_go = block
    known = view.known_level(t)
    return _Look(view, rule_estimate(view, t, known), signals.at(view, t, known), to_go)


def _stepped(t: int, policy: Policy, look: _Look) -> Floats:
    correction = policy.learned(t)
    estimate = look.rule if correction is None else correction.applied(look.rule, look.signals)
    return _decided(look.view, t, estimate, look.to_go)


@dataclass(frozen=True)
class _Moments:
    """Sums over futures for the regression of one period, and the bounds of the costs.

    `left` is what the rule's estimate leaves of the cost, `rule` that estimate itself.
    """

    signals: Floats
    left: Floats
    rule: Floats
    rule_rule: Floats
    rule_left: Floats
    low: Floats
    high: Floats

    def __add__(self, other: "_Moments") -> "_Moments":
        return _Moments(
            self.signals + other.signals,
            self.left + other.left,
            self.rule + other.rule,
            self.rule_rule + other.rule_rule,
            self.rule_left + other.rule_left,
            np.minimum(self.low, other.low),
            np.maximum(self.high, other.high),
        )


def _moments(look: _Look) -> _Moments:
    rule = look.rule
    cost = np.where(look.view.lattice.valid[:, None], look.to_go, rule)
    left = cost - rule
    return _Moments(
        signals=look.signals @ look.signals.T,
        left=look.signals @ left.T,
        rule=look.signals @ rule.T,
        rule_rule=np.einsum("pn,pn->p", rule, rule),
        rule_left=np.einsum("pn,pn->p", rule, left),
        low=cost.min(axis=1),
        high=cost.max(axis=1),
    )


def _correction(moments: _Moments, signals: Signals) -> Correction:
    """Ridge regression of what the rule's estimate leaves unexplained on the signals.

    Where a margin swings, the rule's estimate bends too sharply at the margin from which fitting
    pays, so that its own weight is learned as well: the signals are partialled out of it
    (Frisch-Waugh-Lovell).
    """
    inverse = inverses(_with_ridge(moments.signals, signals)[None])[0]
    slope = inverse @ moments.left
    weight = np.zeros(slope.shape[1])
    if signals.swinging:
        on_rule = inverse @ moments.rule
        own = moments.rule_rule - np.einsum("fp,fp->p", moments.rule, on_rule)
        shared = moments.rule_left - np.einsum("fp,fp->p", moments.rule, slope)
        told = own > FEW_CASES * moments.rule_rule
        weight = np.where(told, shared / np.where(told, own, 1.0), 0.0)
        slope = slope - weight * on_rule
    return Correction(1.0 + weight, slope.T, moments.low, moments.high)


def _with_ridge(gram: Floats, signals: Signals) -> Floats:
    """Sums of products, with each signal's doubt added to its own."""
    own = np.diag(gram)
    return gram + np.diag(signals.doubt(len(gram)) * own + ROUNDING * own)


def inverses(grams: Floats) -> Floats:
    """Pseudo-inverses of sums of products, scaled so that units do not matter, (S, F, F)."""
    own = np.diagonal(grams, axis1=1, axis2=2)
    # Of a signal that is 0 in every lesson nothing is learned; rounding must not pass for a slope.
    scale = np.where(own > 0.0, 1.0 / np.sqrt(np.where(own > 0.0, own, 1.0)), 0.0)
    both = scale[:, :, None] * scale[:, None, :]
    inverse = np.linalg.pinv(grams * both, rcond=FEW_CASES, hermitian=True)
    return np.asarray(inverse * both, dtype=np.float64)
