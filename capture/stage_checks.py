"""The order of stages in a log: a setting is begun by its name, one after the other; what is closed stays closed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from capture import log_words, stages
from capture.fingerprint import fingerprint
from capture.json_text import BadFile
from capture.log_entries import Begin, Close, Keep, Reading, SetAside, Withdraw

Refuse = Callable[[int, str], BadFile]


def closed_by(log: Sequence[Any]) -> frozenset[str]:
    """The stages a log has closed: each named one and those before it; wishes of `plan` stay open."""
    named = [entry.stage for entry in log if isinstance(entry, Close)]
    return frozenset(stages.up_to(max(named, key=stages.place))) if named else frozenset()


def begun_by(log: Sequence[Any]) -> frozenset[str]:
    """The stages a log has a beginning for, those taken back left out."""
    gone = {entry.of for entry in log if isinstance(entry, Withdraw)}
    return frozenset(entry.stage for entry in log if isinstance(entry, Begin) and entry.id not in gone)


def orders(entry: Any) -> bool:
    """Whether an entry can only be judged with the whole log before it."""
    return isinstance(entry, Begin | Close) or (isinstance(entry, Reading) and stages.is_setting(entry.stage))


def check_stages(entries: Sequence[Any], log: Sequence[Any], refuse: Refuse) -> None:
    """Each entry against the log before it. log: what is stored. Raises what `refuse` makes of the first that fails."""
    _Checked(log, refuse).take(entries)


class _Checked:
    """A log as far as it was checked. about: for every entry, the stages whose record it is part of."""

    def __init__(self, log: Sequence[Any], refuse: Refuse) -> None:
        self.refuse = refuse
        self.before: list[Any] = list(log)
        self.stored = {entry.id for entry in log}
        self.closed = closed_by(log)
        self.begun = begun_by(log)
        self.about: dict[str, frozenset[str]] = {}
        for entry in log:
            self.about[entry.id] = _about(entry, self.about)

    def take(self, entries: Sequence[Any]) -> None:
        for number, entry in enumerate(entries):
            if entry.id in self.stored:
                continue
            about = _about(entry, self.about)
            self._check_open(number, about)
            if isinstance(entry, Reading) and stages.is_setting(entry.stage) and entry.stage not in self.begun:
                raise self.refuse(number, log_words.not_begun(entry.stage))
            if isinstance(entry, Begin):
                self._check_order(number, entry.stage)
            if isinstance(entry, Close) and entry.fingerprint != fingerprint(self.before):
                what = log_words.FINGERPRINT_DIFFERS
                raise self.refuse(number, what)
            self.about[entry.id] = about
            self.before.append(entry)
            if isinstance(entry, Begin | Withdraw):
                self.begun = begun_by(self.before)
            if isinstance(entry, Close):
                self.closed = closed_by(self.before)

    def _check_open(self, number: int, about: frozenset[str]) -> None:
        shut = self.closed & about
        if shut:
            stage = stages.said(min(shut, key=stages.place))
            what = log_words.closed_already(stage)
            raise self.refuse(number, what)

    def _check_order(self, number: int, stage: str) -> None:
        """A stage is begun after every one before it, but for stages of the build that are left out."""
        later = [other for other in self.begun if stages.place(other) > stages.place(stage)]
        if later and stage not in self.begun:
            said = stages.said(min(later, key=stages.place))
            raise self.refuse(number, log_words.begun_already(stages.said(said), stages.said(stage)))
        if stages.is_setting(stage) and stages.is_setting(stages.before(stage)):
            missing = stages.before(stage)
            if missing not in self.begun:
                raise self.refuse(number, log_words.stage_skipped(stages.said(stage), stages.said(missing)))


def _about(entry: Any, known: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """The stages whose record an entry is part of: its own, or that of what it takes back or sets aside.

    What is kept at a stage counts there and later (log.keeps), so that it may name carried readings of a closed one.
    """
    if isinstance(entry, Reading | Begin | Close) or (isinstance(entry, Keep) and entry.stage is not None):
        return frozenset({entry.stage})
    of = entry.of if isinstance(entry, Keep) else [entry.of] if isinstance(entry, Withdraw | SetAside) else []
    return frozenset(stage for each in of for stage in known.get(each, ()))
