"""Fits the figures of `advisor.intake.sureness`: `python -m tests.fitted_sureness FILE...` prints them.

A logistic regression with a small ridge, on all that the sentences may mean: an offer is right if the coding of the
sentence has it.
"""

import sys
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
from scipy.optimize import minimize

import advisor
from advisor.intake.clauses import clauses
from advisor.intake.mentions import candidates
from advisor.intake.sides_named import sides_named
from advisor.intake.sureness import Told
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import phrasebook_of
from advisor.sides import sides_of
from tests.sentences import Offer, is_right, read

RIDGE = 1.0
Table = np.ndarray[Any, np.dtype[np.float64]]


def told_and_right(path: Path, base: Rulebase) -> tuple[Table, Table]:
    """Return what tells, a row for each thing that may be meant in a file's sentences, and whether it is right."""
    rows, right = list[tuple[float, ...]](), list[bool]()
    for sentence in read(path):
        told = clauses(sentence["says"], phrasebook_of(base))
        for mention, tells in candidates(told, phrasebook_of(base).signs):
            sign = base.signs[mention.phrasing.name]
            said = sides_named(mention, told)
            sides = [side for side in sides_of(sign.sided) if side is None or not said or side in said]
            rows.append(msgspec.structs.astuple(tells))
            right.append(any(is_right(Offer(sign.id, side, mention.seen), sentence["items"], base) for side in sides))
    return np.array(rows, dtype=float), np.array(right, dtype=float)


def fitted(rows: Table, right: Table) -> Table:
    """Return the figures, that of the base last."""
    with_base = np.column_stack([rows, np.ones(len(rows))])

    def loss(figures: Table) -> tuple[float, Table]:
        at = with_base @ figures
        rough = 0.5 * RIDGE * float(figures[:-1] @ figures[:-1])
        slope = with_base.T @ (1 / (1 + np.exp(-at)) - right) + RIDGE * np.append(figures[:-1], 0.0)
        return float(np.sum(np.logaddexp(0.0, at) - right * at)) + rough, slope

    found: Table = minimize(loss, np.zeros(with_base.shape[1]), jac=True, method="L-BFGS-B").x
    return found


def main(arguments: list[str]) -> None:
    """Print the figures fitted on the files named."""
    base = advisor.load_rules()
    all_told = [told_and_right(Path(one), base) for one in arguments]
    rows, right = (np.concatenate([one[part] for one in all_told]) for part in (0, 1))
    *weights, least = fitted(rows, right)
    for name, weight in zip(Told.__struct_fields__, weights, strict=True):
        sys.stdout.write(f"{name}={weight:.2f}, ")
    sys.stdout.write(f"base {least:.2f}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
