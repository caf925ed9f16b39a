"""Work for many machines: functions without side effects, mapped over a Dask cluster that somebody else runs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from calclib.errors.messages import BadInput, CalclibError
from calclib.wording.facts import fact

_ANSWERS_WITHIN = 10
"""Seconds that a scheduler has to answer."""
_PARTS_A_WORKER = 4
_LARGEST_PART = 100

Across = Callable[[Callable[[Any, Any], Any], Any, Sequence[Any]], Iterable[Any]]


@contextmanager
def maybe_cluster(address: str | None) -> Iterator[Across | None]:
    """Connect to the cluster at an address; without an address there is none, and work is done here.

    What is yielded applies a function of what all have in common and of one thing to each of some things, in their
    order. The workers need this version of this package.

    Args:
        address: The scheduler, such as tcp://10.0.0.5:8786.

    Raises:
        BadInput: Dask isn't installed, or no scheduler with workers answers there.
        CalclibError: The cluster is lost on the way.
    """
    if address is None:
        yield None
        return
    try:
        from distributed import Client
        from distributed.client import FutureCancelledError
        from distributed.comm.core import CommClosedError
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise BadInput(fact("errors_cli.no_dask")) from None
    try:
        client: Any = Client(  # type: ignore[no-untyped-call]
            address, timeout=_ANSWERS_WITHIN, set_as_default=False
        )
    except (OSError, ValueError, TimeoutError):
        raise BadInput(fact("errors_cli.no_scheduler", address=address)) from None
    try:
        if not client.nthreads():
            raise BadInput(fact("errors_cli.no_workers", address=address))
        yield _Mapping(client)
    except (KilledWorker, CommClosedError, FutureCancelledError) as error:
        raise CalclibError(fact("errors_cli.cluster_lost", address=address, error=type(error).__name__)) from None
    finally:
        client.close()


class _Mapping:
    """What every part needs is sent to each worker once."""

    def __init__(self, client: Any) -> None:
        self.client = client
        self.sent: tuple[Any, Any] = (None, None)

    def __call__(self, function: Callable[[Any, Any], Any], shared: Any, things: Sequence[Any]) -> Iterator[Any]:
        workers = sum(self.client.nthreads().values()) or 1
        size = max(1, min(_LARGEST_PART, -(-len(things) // (workers * _PARTS_A_WORKER))))
        parts = [things[start : start + size] for start in range(0, len(things), size)]
        if self.sent[0] is not shared or self.sent[1] is None:
            self.sent = (shared, self.client.scatter([shared], broadcast=True, hash=False)[0])
        # Pure as they are, a key made from a hash of the arguments would cost more than it saves.
        futures = [self.client.submit(_part, function, self.sent[1], part, pure=False) for part in parts]
        try:
            for future in futures:
                yield from future.result()
        finally:
            self.client.cancel(futures, force=True)


def _part(function: Callable[[Any, Any], Any], shared: Any, things: Sequence[Any]) -> list[Any]:
    return [function(shared, one) for one in things]
