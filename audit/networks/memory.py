"""What a network said of pictures lately, so that none is looked at twice.

The texts of a sheet are cut in several ways to see how they read best, and many of these cuts are
alike to the pixel.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Sequence
from hashlib import blake2b
from threading import Lock
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Said = TypeVar("Said")

KEPT = 4096  # pictures; what is said of each is short, the pictures themselves are not kept


class Memory(Generic[Said]):
    """What one network said of the last pictures."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._said: OrderedDict[bytes, Said] = OrderedDict()

    def ask(
        self,
        pictures: Sequence[Gray],
        look: Callable[[Sequence[Gray]], Sequence[Said]],
    ) -> list[Said]:
        """Say what is known of pictures, and look at those that are new, each once.

        Parameters
        ----------
        pictures : sequence of (h, w) uint8 arrays
        look : callable
            Gives what is said of each of some pictures, in their order, whatever the others.

        Returns
        -------
        list
            In the order of `pictures`.
        """
        keys = [_key_of(picture) for picture in pictures]
        known = self._recall(keys)
        new = {key: p for key, p in zip(keys, pictures, strict=True) if key not in known}
        known.update(zip(new, look(list(new.values())), strict=True))
        self._keep({key: known[key] for key in new})
        return [known[key] for key in keys]

    def forget(self) -> None:
        """Forget everything, so that what looking costs can be measured."""
        with self._lock:
            self._said.clear()

    def _recall(self, keys: Sequence[bytes]) -> dict[bytes, Said]:
        with self._lock:
            return {key: self._said[key] for key in keys if key in self._said}

    def _keep(self, said: dict[bytes, Said]) -> None:
        with self._lock:
            self._said.update(said)
            while len(self._said) > KEPT:
                self._said.popitem(last=False)


def _key_of(picture: Gray) -> bytes:
    shape = np.array(picture.shape, np.int64).tobytes()
    return blake2b(picture.tobytes(), digest_size=16, key=shape).digest()
