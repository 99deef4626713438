"""A trained model in a file: skops, never pickle, so that loading one can't run what it brings along."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag.case import replace_file
from diag.errors import Fault, InputError
from diag.extras import needs
from diag.secondopinion.features import names
from diag.secondopinion.model import Model

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["Kept", "load", "save"]

_SCHEMA = 1
_LARGEST = 50_000_000  # bytes; ours have some 100 kB
# Beside what skops trusts by itself: parts of what we keep, which hold numbers and run nothing when they are read.
_TRUSTED = ("numpy.dtype", "sklearn.calibration._CalibratedClassifier", "sklearn.calibration._SigmoidCalibration")
_AGAIN = "train it anew: diag learn --train FILE"


@dataclass(frozen=True, slots=True)
class Kept:
    """A model and what it was trained on, in words."""

    model: Model
    trained_on: str


def save(path: Path, kept: Kept, knowledge: Knowledge) -> None:
    """Write the model whole or not at all. Errors: InputError when the place can't be written."""
    import sklearn
    import skops.io

    content = {"schema": _SCHEMA, "knowledge": knowledge.fingerprint, "sklearn": sklearn.__version__,
               "columns": names(knowledge), "trained_on": kept.trained_on, "fill": kept.model.fill,
               "by_cause": kept.model.by_cause}
    try:
        replace_file(path, skops.io.dumps(content))
    except OSError as error:
        raise InputError(Fault(f"can't be written ({error.strerror})", str(path))) from None


def load(path: Path, knowledge: Knowledge) -> Kept:
    """The model of a file.

    Errors: InputError when it is no model, holds types that aren't trusted, or was trained with another knowledge or
    another version of scikit-learn.
    """
    needs("the second opinion", "learn")
    content = _content(_bytes(path), path)
    _check_fresh(content, path, knowledge)
    return Kept(Model(content["fill"], content["by_cause"]), content["trained_on"])


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > _LARGEST:
            raise InputError(Fault("is too large for a second opinion", str(path)))
        return path.read_bytes()
    except OSError as error:
        raise InputError(Fault(f"can't be read ({error.strerror})", str(path))) from None


def _content(raw: bytes, path: Path) -> dict[str, Any]:
    import skops.io

    try:
        strange = sorted(set(skops.io.get_untrusted_types(data=raw)) - set(_TRUSTED))
    except Exception:  # a file that isn't one of skops fails in as many ways as there are files
        raise InputError(Fault(f"is no second opinion; {_AGAIN}", str(path))) from None
    if strange:
        raise InputError(Fault(f"is not trusted, it holds {strange[0]}; {_AGAIN}", str(path)))
    try:
        content = skops.io.loads(raw, trusted=_TRUSTED)
    except Exception:  # as above
        raise InputError(Fault(f"is no second opinion; {_AGAIN}", str(path))) from None
    if not isinstance(content, dict) or content.get("schema") != _SCHEMA or not _well_made(content):
        raise InputError(Fault(f"is no second opinion of this version; {_AGAIN}", str(path)))
    return content


def _well_made(content: dict[str, Any]) -> bool:
    """Every part is there and of its kind; only calibrated classifiers and shares count as models."""
    from sklearn.calibration import CalibratedClassifierCV
    from sklearn.impute import SimpleImputer

    by_cause = content.get("by_cause")
    return (all(isinstance(content.get(key), str) for key in ("knowledge", "sklearn", "trained_on"))
            and isinstance(content.get("fill"), SimpleImputer) and isinstance(by_cause, dict)
            and all(isinstance(m, (float, CalibratedClassifierCV)) for m in by_cause.values()))


def _check_fresh(content: dict[str, Any], path: Path, knowledge: Knowledge) -> None:
    import sklearn

    if content["knowledge"] != knowledge.fingerprint or content.get("columns") != names(knowledge):
        raise InputError(Fault(f"is stale: it was trained with other knowledge; {_AGAIN}", str(path)))
    if content["sklearn"] != sklearn.__version__:
        versions = f"scikit-learn {content['sklearn']}, here is {sklearn.__version__}"
        raise InputError(Fault(f"is stale: it was trained with {versions}; {_AGAIN}", str(path)))
