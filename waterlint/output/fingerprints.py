"""Names of findings that outlive an edit elsewhere in the file."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Mapping

from waterlint.finding import Finding

#: The position of an item in a list, within a pointer.
_INDEX = re.compile(r"/[0-9]+(?=/|$)")


def fingerprints(findings: Iterable[Finding]) -> Mapping[Finding, str]:
    """A name for each finding, as 32 hexadecimal digits.

    Parameters
    ----------
    findings : iterable of Finding
        Of the whole run, those that are accepted too: findings alike are counted, and an
        exception must not rename the others.

    Returns
    -------
    mapping
        By finding. Findings that are equal in all they say share a name.

    Notes
    -----
    A name is made of the rule, the file, the document, the key, and the ion and vessel. Lines,
    the positions in lists, figures and wording have no part in it: a comment above, another
    addition in front, another dose or a later version of waterlint leave it as it is. Findings
    that agree in all of it are told apart by their order.
    """
    seen: Counter[tuple[str, ...]] = Counter()
    names: dict[Finding, str] = {}
    for finding in sorted(findings, key=lambda finding: finding.order):
        if finding in names:
            continue
        key = (
            finding.rule,
            finding.path,
            str(finding.document),
            _INDEX.sub("/*", finding.pointer),
            finding.quantity or "",
            finding.vessel or "",
        )
        seen[key] += 1
        text = "\0".join((*key, str(seen[key])))
        digest = hashlib.sha256(text.encode("utf-8", "surrogatepass"))
        names[finding] = digest.hexdigest()[:32]
    return names
