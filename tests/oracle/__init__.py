"""Oracles for the valuation: small, slow, written from the model's text, sharing no code with it.

`machine` says what a state may be and what it costs, `arrivals` how likely every combination of
arrival periods is, `exact` values every package by enumerating the whole scenario tree, `paths`
does one given future by plain recursion. `cases` holds hand-made cases, each with one feature that
decides; `strategies` draws random small ones.

How the model's text is read here:

- A package or state is the frozenset of all options fitted, standards included. The states a
  machine can be in are exactly the packages that can be ordered: both obey `requires` and
  `excludes`, and a standard without a credit can be replaced but never missing.
- The flow of period t (upkeep, margins) goes by the state *before* the moves made at the start of
  t; what is fitted at t works from t + 1. The first moves are at t = 1, the last at t = T - 1. A
  slot moves at most once a period. Resale goes by the final state.
- A retrofit pays later price * multiplier and call-outs inflated to its date; downtime_days *
  margin_per_day is not inflated. What is replaced brings nothing back.
- Easing: an easer in another slot counts when it is fitted *after* this period's moves; an easer
  in the same slot when it was fitted *before* them.
- One visit a period for each distinct pair of cluster and call-out name; `call_out` None is no
  visit. Two slots are in one cluster when a stream (through any of its ways), a requirement, an
  exclusion, a bundle, an easing or a call-out other than `default` ties them, directly or in steps.
- A standard option costs nothing at the order; its list price is the base of a later retrofit and
  of its resale. The delete credit is paid only when its slot is left empty at the order. A bundle's
  discount is paid when all its options are fitted at the order. The order factor is 1.
- A stream arrives in period p with probability chance * (F((p + 1) dt) - F(p dt)), F the
  triangular distribution of `years`; from the horizon on it never does. Period T stands for never.
- At the start of period t the shop knows which streams arrived in which of the periods 0..t. Of
  the others it knows only that they have not arrived, and what the drivers make of that.
"""
