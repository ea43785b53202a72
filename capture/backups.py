"""Backups that nobody has to think of: a copy of the store after changes, every few minutes, and at a clean stop."""

from __future__ import annotations

import sys
import threading

from capture import store_words
from capture.store import Store, StoreError

EVERY_SECONDS = 180.0


class Backups:
    """Watches a store in a thread of its own from `start` to `stop`."""

    def __init__(self, store: Store, every: float = EVERY_SECONDS) -> None:
        self._store, self._every = store, every
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._watch, name="backups", daemon=True)
        self._copied = ""
        self._said = ""

    def start(self) -> None:
        """What is in the store now counts as changed unless it is empty: it may come from before a power cut."""
        self._copied = EMPTY
        self._thread.start()

    def stop(self) -> None:
        """Ends the watch and makes the last copy, if anything has changed."""
        self._ended.set()
        if self._thread.ident is not None:
            self._thread.join()
            self._copy_if_changed()

    def _watch(self) -> None:
        pause = min(self._every, FIRST_SECONDS)
        while not self._ended.wait(pause):
            self._copy_if_changed()
            pause = self._every

    def _copy_if_changed(self) -> None:
        """Trouble is said once, not every few minutes: the store itself goes on."""
        try:
            state = self._store.state()
            if state != self._copied:
                self._store.back_up()
                self._copied, self._said = state, ""
        except StoreError as trouble:
            if str(trouble) != self._said:
                self._said = str(trouble)
                print(store_words.no_backup(trouble), file=sys.stderr, flush=True)


EMPTY = "0-0-0-0"
"""The state of a store that holds nothing."""
FIRST_SECONDS = 20.0
"""After the start, when the phones are in again."""
