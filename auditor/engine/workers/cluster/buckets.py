"""Listings that share a key compared by the workers of a cluster: one task for each bucket of keys.

The files of rows and pairs lie in the place of parts, and so does what a task finds; the run takes it in by bucket.  A
bucket that no worker can judge is left to the run's own process, and so are all where the cluster is gone by then.
"""

from __future__ import annotations

import pickle
import secrets
import time
from collections import Counter, OrderedDict, deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue

from distributed import Client, Future, get_worker

from auditor.across.bucket_judge import BucketJudge, Judged
from auditor.engine.record_reader import RecordReader
from auditor.engine.unit_audit import UnitAuditor
from auditor.engine.workers.cluster.members import Members
from auditor.engine.workers.cluster.orders import Standard
from auditor.engine.workers.cluster.place import SharedFolder
from auditor.errors import OutputError
from auditor.feeds.model import Feed
from auditor.judging.block.feed_plan import FeedPlan

FOLDER = "across"  # in the place of parts
_IN_HAND = 2  # buckets for each thread of a worker
_MOST_TRIES = 3
_LOOK_S = 0.5
_STILL_S = 60.0  # nothing came for so long, and for four times as long as any bucket took: it is judged here
_RESULT_S = 20.0
_states: OrderedDict[str, tuple[BucketJudge, RecordReader]] = OrderedDict()  # of runs, on a worker


@dataclass(frozen=True, slots=True)
class ReadFeed:
    """A feed whose records can be read again."""

    number: int
    feed: Feed
    plan: FeedPlan


@dataclass(frozen=True, slots=True)
class BucketOrder:
    """A bucket to judge."""

    root: Path  # of the place of parts
    state: str  # the judge's name in it, another one for every run
    key: int
    bucket: int
    name: str  # of what is found


def judge_bucket(content: bytes) -> tuple[str, float]:
    """Does a pickled order; this worker's address, and the seconds that it took."""
    order: BucketOrder = pickle.loads(content)
    begun = time.monotonic()
    judge, reader = _state(order)
    found = judge.judged(order.key, order.bucket, reader)
    SharedFolder(order.root).put_bytes(order.name, pickle.dumps(found, protocol=pickle.HIGHEST_PROTOCOL))
    return str(get_worker().address), time.monotonic() - begun


def _state(order: BucketOrder) -> tuple[BucketJudge, RecordReader]:
    if order.state not in _states:
        judge, feeds = pickle.loads(SharedFolder(order.root).read(order.state))
        _states[order.state] = judge, RecordReader(feeds, UnitAuditor(judge.book))
        while len(_states) > 1:
            _states.popitem(last=False)
    return _states[order.state]


class BucketTasks:
    """Has buckets judged by the workers of a cluster."""

    def __init__(self, client: Client, members: Members, standard: Standard, root: Path) -> None:
        """`root` is the place of parts, a folder that all reach."""
        self._client, self._members, self._standard, self._root = client, members, standard, root
        self._told: SimpleQueue[Future] = SimpleQueue()
        self._tries: Counter[int] = Counter()  # by place in the list of what is asked
        self._out: dict[str, tuple[int, Future, str]] = {}  # by task: place, future, name of what is found

    def judged(
        self, judge: BucketJudge, asked: Sequence[tuple[int, int]], feeds: Sequence[ReadFeed]
    ) -> Iterator[Judged | None]:
        """What is found in each bucket, in order; None for one that has to be judged here."""
        state = f"{FOLDER}/judge-{self._standard.session}"
        place = SharedFolder(self._root)
        place.put_bytes(state, pickle.dumps((judge, list(feeds)), protocol=pickle.HIGHEST_PROTOCOL))
        waiting = deque(range(len(asked)))
        done: dict[int, Judged | None] = {}
        last, longest_s, following = time.monotonic(), 0.0, 0
        while following < len(asked):
            if following in done:
                yield done.pop(following)
                following += 1
                continue
            try:
                while waiting and len(self._out) < max(2, _IN_HAND * self._members.threads):
                    self._submit(waiting.popleft(), asked, state)
                task = self._told.get(timeout=_LOOK_S)
            except OutputError:  # the cluster is gone, which costs time and nothing else
                yield from (done.get(number) for number in range(following, len(asked)))
                return
            except Empty:
                if self._members.scheduler_is_gone or time.monotonic() - last > max(_STILL_S, 4 * longest_s):
                    done.update((number, None) for number, _, _ in self._out.values())
                    self.end()
                    last = time.monotonic()
                continue
            found = self._out.pop(task.key, None)
            if found is None:
                continue
            last, (number, future, name) = time.monotonic(), found
            try:
                _, seconds = future.result(timeout=_RESULT_S)
                done[number] = pickle.loads(place.read(name))
                longest_s = max(longest_s, seconds)
            except Exception:  # whatever it was: another worker may do better, and this process can
                self._tries[number] += 1
                if self._tries[number] < _MOST_TRIES and not self._members.scheduler_is_gone:
                    waiting.appendleft(number)
                else:
                    done[number] = None

    def end(self) -> None:
        """Takes back what is still out."""
        futures = [future for _, future, _ in self._out.values()]
        self._out.clear()
        if futures and not self._members.scheduler_is_gone:
            self._client.cancel(futures)

    def _submit(self, number: int, asked: Sequence[tuple[int, int]], state: str) -> None:
        key, bucket = asked[number]
        token = secrets.token_hex(4)
        name = f"{FOLDER}/judged-{key}-{bucket}-{token}"
        future = self._client.submit(
            judge_bucket,
            pickle.dumps(BucketOrder(self._root, state, key, bucket, name)),
            key=f"judge-{self._standard.session}-{key}-{bucket}-{token}",
            workers=self._members.but(set()),
            retries=0,
            pure=False,
        )
        self._out[str(future.key)] = number, future, name
        future.add_done_callback(self._told.put)
