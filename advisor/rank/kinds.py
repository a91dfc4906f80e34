"""Vague signs and their kinds: `it idles badly` and the specific ways in which an idle is bad.

A vague sign is there if it is there in its own right or any of its kinds is (a noisy-OR of noisy-ORs is a
noisy-OR again). So a kind that is seen says all that the vague sign says, which then no longer counts; a kind known
to be absent is taken out of it; and the rest is a sign like any other. For certain reports
this is exact, as long as each kind belongs to only one vague sign.

The signs of healthy bikes overlap: one rider calls a harmless rough idle lumpy, another calls it
hunting. So inside a vague sign the leaks of its kinds are thinned, (1 - leak) ** thin, until together
they match the figure for healthy bikes on the page of the vague sign.

A rider who complains of a bad idle, and when asked says that it hangs, complains of a hanging idle. So a kind of the
sign complained of is trusted like the complaint: riders rarely complain of what is normal or not there, however
exactly they put it. And the kind is there by chance no more often than its share of the vague sign; even less,
because an oddity of a sound bike is seldom clear enough to be named as one kind.
"""

from collections.abc import Collection, Mapping

import msgspec

from advisor.rank.network import Finding, Known, Leaky, Network
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided

SURE = Trust(1.0, 0.0)
NOTHING: frozenset[Sided] = frozenset()
Reports = Mapping[Sided, Finding]
NONE: Reports = {}
MOST_WEIGHED = 2000  # findings kept, some 10 kB each


class Kinds:
    """The vague signs of one network."""

    def __init__(self, network: Network) -> None:
        """Take the signs of a network and their kinds."""
        self.network = network
        self._vaguer: dict[Sided, tuple[Sided, ...]] = {}
        for key, below in network.kinds.items():
            for kind in below:
                self._vaguer[kind] = (*self._vaguer.get(kind, ()), key)

    def weigh(
        self, reports: Reports, before: Reports = NONE, changed: Collection[Sided] | None = None
    ) -> dict[Sided, Finding]:
        """Return the findings that result from these reports.

        If only some signs can have `changed`, the others count as `before`.
        """
        kinds = self.network.kinds
        vague = [key for key in reports if key in kinds] if kinds else []
        found = dict(reports)
        if not vague:
            return found
        for key in vague:
            if changed is not None and key not in changed:
                if key in before:
                    found[key] = before[key]
                else:
                    del found[key]
                continue
            known = [kind for kind in kinds[key] if kind in reports]
            if any(reports[kind].seen for kind in known):
                del found[key]
                continue
            absent = frozenset(known).union(*(kinds.get(kind, ()) for kind in known)) if known else NOTHING
            found[key] = self.left(key, absent, reports)
        said = {kind for key in vague if reports[key].seen for kind in kinds[key]}
        restated = [key for key in found if key in said and key not in kinds and found[key].seen]
        for key in restated:
            found[key] = before[key] if changed is not None and key not in changed else self._restated(key, reports)
        return found

    def _said(self, key: Sided, reports: Reports) -> list[Sided]:
        """Return the vaguer signs that are also reported."""
        return [one for one in self._vaguer.get(key, ()) if one in reports and reports[one].seen]

    def _believed(self, key: Sided, reports: Reports) -> tuple[Trust, float]:
        """Return the trust in a seen sign, and how its leak is thinned, given the vaguer signs that are reported.

        The report is as doubtful as the least doubtful of them.
        """
        said = self._said(key, reports)
        trusts = [reports[one].trust or SURE for one in (key, *said)]
        trust = Trust(trusts[0].hit, min(one.false_alarm for one in trusts), min(one.ordinary for one in trusts))
        thin = min((self.network.clear * self.network.thin.get(one, 1.0) for one in said), default=1.0)
        return trust, min(thin, self.network.thin.get(key, 1.0))

    def _restated(self, kind: Sided, reports: Reports) -> Finding:
        """Return the report of a seen kind whose vague sign is reported too."""
        trust, thin = self._believed(kind, reports)
        known = kind, NOTHING, True, trust, thin, reports[kind].grade
        found = self.network.weighed.get(known)
        if found is None:
            sign = self.network.signs[kind]
            thinned = Leaky(1 - (1 - sign.leak) ** thin, sign.strengths)
            found = self.network.reported(thinned, trust, seen=True, grade=reports[kind].grade)
            self._keep(known, found)
        return found

    def _keep(self, known: Known, found: Finding) -> None:
        """Keep a finding for all cases on this network."""
        if len(self.network.weighed) >= MOST_WEIGHED:
            self.network.weighed.clear()
        self.network.weighed[known] = found

    def left(self, key: Sided, absent: frozenset[Sided], reports: Reports) -> Finding:
        """Return the finding from a report of a vague sign when some of its kinds are known to be absent."""
        report = reports[key]
        trust, thin = report.trust or SURE, self.network.thin.get(key, 1.0)
        if report.seen:
            trust, thin = self._believed(key, reports)
        known = (key, absent, report.seen, trust, thin, report.grade)
        found = self.network.weighed.get(known)
        if found is None:
            signs = [self.network.signs[one] for one in (key, *self.network.kinds[key]) if one not in absent]
            if report.seen:
                found = self.network.reported(any_of(signs, thin), trust, seen=True, grade=report.grade)
            else:
                whole = any_of([one.not_seen(self.network.unseen) for one in signs], thin)
                found = Finding(self.network.believed(whole, trust), seen=False)
            found = msgspec.structs.replace(found, trust=trust, without=absent)
            self._keep(known, found)
        return found


def any_of(signs: Collection[Leaky], thin: float = 1.0) -> Leaky:
    """Return the sign that is there if any of these is, independently given the causes; leaks thinned."""
    stays, absent = 1.0, dict[int, float]()
    for one in signs:
        stays *= 1 - one.leak
        for cause, strength in one.strengths.items():
            absent[cause] = absent.get(cause, 1.0) * (1 - strength)
    return Leaky(1 - stays**thin, {cause: 1 - one for cause, one in absent.items()})
