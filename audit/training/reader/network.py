"""The reader network: convolutions over a 48-px crop, height folded away, CTC along the width.

Two widths are halved (four pixels a column) but every column writes two frames, so that repeated
figures of a small fraction (11/16) do not collapse although the network runs at a quarter width.
No recurrent layer: every engine of cv2.dnn runs it.
"""

from __future__ import annotations

from collections.abc import Iterable

import torch
from torch import Tensor, nn

from audit.networks.alphabet import CLASSES

STEM = (24, 32)
MIDDLE = 64
DEEP = 112
WAIST = 56
WIDE = 256
DILATIONS = (1, 2, 4, 8, 4, 2, 1)
FRAMES_PER_COLUMN = 2
# Places in `look` of the blocks that were added when there were weights already, in that order.
ADDED = (8, 4, 9, 5)
# What a large network has more: blocks at the end of `look`, reaches at the end of `along`.
LARGE_LOOK, LARGE_DILATIONS = 3, (1, 2, 4, 2, 1)


def convolve(i: int, o: int, stride: int | tuple[int, int] = 1) -> nn.Sequential:
    """3 x 3 convolution, normalised, rectified."""
    return nn.Sequential(
        nn.Conv2d(i, o, 3, stride, 1, bias=False), nn.BatchNorm2d(o), nn.ReLU(inplace=True)
    )


class Residual(nn.Module):
    """Two 3 x 3 convolutions around a shortcut, with `waist` channels between them."""

    def __init__(self, channels: int, waist: int | None = None) -> None:
        super().__init__()
        self.first = convolve(channels, waist or channels)
        self.second = nn.Sequential(
            nn.Conv2d(waist or channels, channels, 3, 1, 1, bias=False), nn.BatchNorm2d(channels)
        )

    def forward(self, x: Tensor) -> Tensor:
        """Add the block's answer to its input."""
        return torch.relu(x + self.second(self.first(x)))


class Along(nn.Module):
    """Depth-wise convolution along the width, then a two-layer mix of the channels."""

    def __init__(self, channels: int, dilation: int) -> None:
        super().__init__()
        self.reach = nn.Sequential(
            nn.Conv2d(
                channels, channels, (1, 7), padding=(0, 3 * dilation), dilation=(1, dilation),
                groups=channels, bias=False,
            ),
            nn.BatchNorm2d(channels),
        )  # fmt: skip
        self.mix = nn.Sequential(
            nn.Conv2d(channels, 2 * channels, 1), nn.ReLU(inplace=True),
            nn.Conv2d(2 * channels, channels, 1, bias=False), nn.BatchNorm2d(channels),
        )  # fmt: skip

    def forward(self, x: Tensor) -> Tensor:
        """Add the block's answer to its input."""
        return x + self.mix(self.reach(x))


class ReaderNetwork(nn.Module):
    """Crops (n, 1, 48, w), ink 1 and paper 0, to logits (n, 2 * classes, 1, w / 4).

    Parameters
    ----------
    added : int
        How many of the blocks at `ADDED` it has.
    large : bool
        Whether it has three blocks and five reaches more, three quarters more work.
    """

    def __init__(self, added: int = len(ADDED), *, large: bool = False) -> None:
        super().__init__()
        self.look = nn.Sequential(
            convolve(1, STEM[0], 2),
            convolve(STEM[0], STEM[1]),
            convolve(STEM[1], MIDDLE, 2),
            Residual(MIDDLE),
            Residual(MIDDLE),
            Residual(MIDDLE),
            convolve(MIDDLE, DEEP, (2, 1)),
            Residual(DEEP),
            Residual(DEEP, WAIST),
            Residual(DEEP, WAIST),
        )
        for place in ADDED[added:]:
            self.look[place] = nn.Identity()
        self.look.extend([Residual(DEEP) for _ in range(LARGE_LOOK if large else 0)])
        self.fold = nn.Sequential(
            nn.Conv2d(DEEP, WIDE, (6, 1), bias=False), nn.BatchNorm2d(WIDE), nn.ReLU(inplace=True)
        )
        dilations = (*DILATIONS, *LARGE_DILATIONS) if large else DILATIONS
        self.along = nn.Sequential(*[Along(WIDE, d) for d in dilations])
        self.drop = nn.Dropout(0.1)
        self.write = nn.Conv2d(WIDE, FRAMES_PER_COLUMN * CLASSES, 1)

    def forward(self, x: Tensor) -> Tensor:
        """Logits; frames of one column lie one after the other along the channels."""
        return self.write(self.drop(self.along(self.fold(self.look(x)))))


def added_in(names: Iterable[str]) -> int:
    """How many of the blocks at `ADDED` a network with weights of these names has.

    Examples
    --------
    >>> added_in(ReaderNetwork(2).state_dict()), added_in([])
    (2, 0)
    """
    places = {name.split(".")[1] for name in names if name.startswith("look.")}
    return sum(str(place) in places for place in ADDED)


def is_large(names: Iterable[str]) -> bool:
    """Whether a network with weights of these names is a large one.

    Examples
    --------
    >>> is_large(ReaderNetwork().state_dict()), is_large(ReaderNetwork(large=True).state_dict())
    (False, True)
    """
    return any(name.startswith(f"along.{len(DILATIONS)}.") for name in names)


def load_network(state: dict[str, Tensor]) -> ReaderNetwork:
    """Network that has the weights given, with as many blocks."""
    network = ReaderNetwork(added_in(state), large=is_large(state))
    network.load_state_dict(state)
    return network


def frames(logits: Tensor) -> Tensor:
    """Reorder the network's output to (frames, n, classes) for CTC."""
    count, _, _, columns = logits.shape
    split = logits.view(count, FRAMES_PER_COLUMN, CLASSES, columns)
    return split.permute(3, 1, 0, 2).reshape(columns * FRAMES_PER_COLUMN, count, CLASSES)
