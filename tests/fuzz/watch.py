"""One try under watch: what came of it, how long it took, how much memory, and whether a refusal says
enough."""

from __future__ import annotations

import contextlib
import re
import resource
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from hullview.errors import BoatFileError, HullviewError, SolveError

LIMIT_SECONDS = 10.0
LIMIT_BYTES = 4 * 2**30
_PLACE = re.compile(r"(?:boat\.toml(?::[0-9]+)?|\S.* row [0-9]+(?: column [0-9]+)?|boat\.toml.*)")


class TooLong(BaseException):
    """Raised by the clock inside whatever is running; no ordinary handler may swallow it."""


@contextlib.contextmanager
def limited(seconds: float = LIMIT_SECONDS) -> Iterator[None]:
    """Stop what is inside after so many seconds of work, or twelve times as many by the clock, which a
    busy machine may take."""

    def ring(*_: object) -> None:
        raise TooLong(f"over {seconds:g} s")

    clocks = (
        (signal.ITIMER_PROF, signal.SIGPROF, seconds),
        (signal.ITIMER_REAL, signal.SIGALRM, 12 * seconds),
    )
    before = [signal.signal(bell, ring) for _, bell, _ in clocks]
    for timer, _, most in clocks:
        signal.setitimer(timer, most)
    try:
        yield
    finally:
        for (timer, bell, _), was in zip(clocks, before):
            signal.setitimer(timer, 0)
            signal.signal(bell, was)


def hold_memory(most: int = LIMIT_BYTES) -> None:
    """Past so many bytes an allocation fails, which shows as a MemoryError in the tally."""
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    resource.setrlimit(resource.RLIMIT_DATA, (most, hard))


def peak_bytes() -> int:
    """The most memory this process has held so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


@dataclass
class Tally:
    """What came of many tries. faults: what must not happen, with the number of its input; needs_place: a
    refusal names its file."""

    needs_place: bool = True

    outcomes: Counter[str] = field(default_factory=Counter)
    words: Counter[str] = field(default_factory=Counter)
    faults: list[tuple[int, str]] = field(default_factory=list)
    worst: tuple[float, int] = (0.0, -1)
    grew: tuple[int, int] = (0, -1)

    def attempt(self, number: int, work: Callable[[], str], seconds: float = LIMIT_SECONDS) -> None:
        """Run one try; `work` gives the name of its outcome."""
        before, start = peak_bytes(), time.process_time()
        try:
            with limited(seconds):
                outcome = work()
        except HullviewError as error:
            outcome = type(error).__name__
            fault = unhelpful(error, self.needs_place)
            if fault:
                self.faults.append((number, f"{outcome}: {fault}"))
            self.words[f"{outcome}: {_gist(error)}"] += 1
        except TooLong as error:
            outcome = "hang"
            self.faults.append((number, str(error)))
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt):
                raise
            outcome = "traceback"
            self.faults.append((number, "".join(traceback.format_exception(error)[-3:])))
        self.outcomes[outcome] += 1
        self.worst = max(self.worst, (time.process_time() - start, number))
        self.grew = max(self.grew, (peak_bytes() - before, number))

    def report(self, words: int = 0) -> str:
        """The tally as text."""
        total = sum(self.outcomes.values())
        lines = [f"{total} inputs"]
        lines += [f"  {n:9d}  {name}" for name, n in self.outcomes.most_common()]
        lines.append(
            f"worst time {self.worst[0]:.3f} s of work (input {self.worst[1]}), peak memory"
            f" {peak_bytes() / 2**20:.0f} MiB"
        )
        lines.append(f"most memory added by one input {self.grew[0] / 2**20:.0f} MiB (input {self.grew[1]})")
        lines.append(f"{len(self.faults)} faults")
        lines += [f"  input {n}: {text}" for n, text in self.faults[:20]]
        lines += [f"  {n:7d}  {gist}" for gist, n in self.words.most_common(words)]
        return "\n".join(lines)


def unhelpful(error: HullviewError, needs_place: bool = True) -> str:
    """What a refusal lacks: words, a place, or decency towards a terminal; '' where it is good."""
    text = str(error)
    if not text.strip():
        return "says nothing"
    bad = [c for c in text if not c.isprintable() and c != "\n"]
    if bad:
        return f"holds a control character, {bad[0]!r}"
    if len(text) > 200_000:
        return f"is {len(text)} characters long"
    if isinstance(error, SolveError):
        return text
    if isinstance(error, BoatFileError):
        if not error.mistakes:
            return "lists no mistake"
        for mistake in error.mistakes:
            if not _PLACE.fullmatch(mistake.place) or not mistake.allowed:
                return f"has no place or no reason: {mistake}"
    elif needs_place and not re.search(r"boat\.toml|\.csv", text):
        return f"names no file: {text[:200]}"
    return ""


def _gist(error: HullviewError) -> str:
    """The message without its numbers and names, so that like ones can be counted."""
    first = error.mistakes[0].allowed if isinstance(error, BoatFileError) and error.mistakes else str(error)
    return re.sub(r"[0-9]+(?:\.[0-9]+)?", "#", re.sub(r"[\"'].*?[\"']", '"..."', first))[:110]
