"""What tells one state of a case from another: a hash over all its facts."""

import hashlib
import json

from optioneer.model.case import Case


def fingerprint(case: Case) -> str:
    """SHA-256 of the facts of a case as hexadecimal digits; neither comments nor the name count.

    Parameters
    ----------
    case
        A checked case.

    Notes
    -----
    Of the facts as JSON with keys in order: the same figures give the same digits whatever the
    order of keys and spaces in the files. Futures and seed are among them.

    References
    ----------
    FIPS PUB 180-4, Secure Hash Standard (2015).
    """
    facts = case.model_dump(mode="json", exclude={"name"})
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
