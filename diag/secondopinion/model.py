"""One calibrated logistic regression a cause, on answers and on what is missing among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diag.secondopinion.features import Table

__all__ = ["Model", "beliefs", "fit"]

_FOLDS = 3  # of worlds, within training: the calibration is fitted on worlds the regression hasn't seen
_LEAST_PRESENT = 12  # cases with the cause; below it nothing but its share is learned (judgement)
_STRENGTH = 0.05  # inverse of the ridge penalty; few of some 250 columns matter to one cause


@dataclass(frozen=True, slots=True)
class Model:
    """What fills in missing answers, and by cause a calibrated classifier, or the plain share where it is too rare."""

    fill: Any
    by_cause: dict[str, Any]


def fit(rows: Table, truth: Table, worlds: Sequence[int], causes: Sequence[str]) -> Model:
    """Learn each cause from the rows in which it is known whether it is there (`truth` not NaN).

    Missing answers are put half way between no and yes and marked by a column of their own.
    """
    from sklearn.impute import SimpleImputer
    from threadpoolctl import threadpool_limits

    fill = SimpleImputer(strategy="constant", fill_value=0.5, add_indicator=True, keep_empty_features=True)
    filled, groups = fill.fit_transform(rows), np.asarray(worlds)
    with threadpool_limits(1):  # so small are the matrices that threads wait for one another longer than they work
        return Model(fill, {cause: _fit_one(filled, truth[:, n], groups) for n, cause in enumerate(causes)})


def _fit_one(filled: Table, truth: Table, groups: NDArray[np.int64]) -> Any:
    told = ~np.isnan(truth)
    there, groups = truth[told] == 1, groups[told]
    splits = _splits(there, groups)
    if splits is None:
        return (float(there.sum()) + 0.5) / (len(there) + 1)  # Jeffreys' prior: never a certain no
    # The folds are of no use once it is fitted, and would be kept with it.
    return _classifier(splits).fit(filled[told], there).set_params(cv=None)


def _splits(there: NDArray[np.bool_], groups: NDArray[np.int64]) -> list[tuple[Any, Any]] | None:
    """Folds by world; None where the cause is too rare, or missing or everywhere in some training part."""
    from sklearn.model_selection import GroupKFold

    if there.sum() < _LEAST_PRESENT or len(np.unique(groups)) < _FOLDS:
        return None
    splits = list(GroupKFold(_FOLDS).split(there, groups=groups))
    return splits if all(0 < there[train].sum() < len(train) for train, _ in splits) else None


def _classifier(splits: list[tuple[Any, Any]]) -> Any:
    """Ridge logistic regression, its scores calibrated by Platt's sigmoid on worlds it hasn't seen."""
    from sklearn.calibration import CalibratedClassifierCV
    from sklearn.linear_model import LogisticRegression

    regression = LogisticRegression(C=_STRENGTH, max_iter=300, tol=1e-3)
    return CalibratedClassifierCV(regression, method="sigmoid", cv=splits, ensemble=False)


def beliefs(model: Model, rows: Table, causes: Sequence[str]) -> Table:
    """(rows, causes) P(present); 0 for a cause the model hasn't heard of."""
    filled = model.fill.transform(rows)
    return np.stack([_belief(model.by_cause.get(cause, 0.0), filled) for cause in causes], axis=1)


def _belief(learned: Any, filled: Table) -> Table:
    if isinstance(learned, float):
        return np.full(len(filled), learned)
    found: Table = learned.predict_proba(filled)[:, 1]
    return found
