"""The page network: where terminators, text, dimension lines and extension lines are."""

from __future__ import annotations

import torch
import torch.nn.functional as F  # as everybody writes it
from torch import nn

SECTORS = 8  # of 45°: in which the body of an arrow lies
CHANNELS = 2 + SECTORS + 3 + 2  # tips, symmetric, sectors, text, line, extension, cos 2t, sin 2t
WIDTHS = (16, 40, 80, 144)  # channels at a half, a quarter, an eighth, a sixteenth
WAY_BACK = (64, 40)  # channels at an eighth and a quarter on the way back
FINER = 2  # by which the maps are finer than the last layer
EDGE = 6  # px of the maps: what ends this near to a crop's rim has its body outside
REACH = 4  # px of the maps: bumps are drawn this far around their tip


def block(inside: int, outside: int, stride: int = 1, dilation: int = 1) -> nn.Sequential:
    """Convolution, normalisation, rectifier."""
    return nn.Sequential(
        nn.Conv2d(inside, outside, 3, stride, padding=dilation, dilation=dilation, bias=False),
        nn.BatchNorm2d(outside),
        nn.ReLU(inplace=True),
    )


class Further(nn.Module):
    """A convolution that adds to what it is given."""

    def __init__(self, width: int, dilation: int = 1) -> None:
        super().__init__()
        self.convolve = nn.Conv2d(width, width, 3, 1, dilation, dilation, bias=False)
        self.norm = nn.BatchNorm2d(width)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Run the layer."""
        return F.relu(x + self.norm(self.convolve(x)))


class PageNet(nn.Module):
    """Down to a sixteenth and back up to a quarter of the resolution, with short cuts.

    What is dear is work at high resolution: the first layer alone runs at a half, and the maps
    of half resolution come as four of a quarter, `FINER` squared to a channel.

    Input (n, 1, h, w): darkness, 0 paper to 1 ink, h and w multiples of 16. Output
    (n, FINER * FINER * CHANNELS, h/4, w/4): logits, but for the last two channels.
    """

    def __init__(self) -> None:
        super().__init__()
        a, b, c, d = WIDTHS
        e, f = WAY_BACK
        self.quarter = nn.Sequential(block(1, a, 2), block(a, b, 2), Further(b))
        self.eighth = nn.Sequential(block(b, c, 2), Further(c), Further(c))
        self.deep = nn.Sequential(
            block(c, d, 2), Further(d), Further(d, 2), Further(d, 4), Further(d)
        )
        self.from16, self.from8 = nn.Conv2d(d, e, 1), nn.Conv2d(c, e, 1)
        self.at8 = block(e, e)
        self.to4, self.from4 = nn.Conv2d(e, f, 1), nn.Conv2d(b, f, 1)
        self.at4 = block(f, f)
        self.out = nn.Conv2d(f, FINER * FINER * CHANNELS, 1)
        nn.init.constant_(self.out.bias[: 2 * FINER * FINER], -4.0)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Run the network."""
        x4 = self.quarter(x)
        x8 = self.eighth(x4)
        y = self.deep(x8)
        y = self.at8(F.relu(_double(self.from16(y)) + self.from8(x8)))
        y = self.at4(F.relu(_double(self.to4(y)) + self.from4(x4)))
        return self.out(y)


def unfold_maps(maps: torch.Tensor) -> torch.Tensor:
    """Maps of half resolution (n, CHANNELS, h/2, w/2) out of what the network gives."""
    return F.pixel_shuffle(maps, FINER)


def _double(x: torch.Tensor) -> torch.Tensor:
    return F.interpolate(x, scale_factor=2, mode="nearest")


def heat_targets(tips: torch.Tensor, size: int) -> tuple[torch.Tensor, torch.Tensor]:
    """Rasterise tips.

    Parameters
    ----------
    tips : (n, k, 4) tensor
        x, y in px of the map, direction in degrees (-1: symmetric), 1 for a used row.
    size : int
        Of the map.

    Returns
    -------
    heat : (n, 2, size, size) tensor
        Gaussian bumps: arrow tips, symmetric terminators.
    sectors : (n, SECTORS, size, size) tensor
        Share of each direction sector, near arrow tips; -1 elsewhere.
    """
    n, device = len(tips), tips.device
    row, which = torch.nonzero(tips[..., 3] > 0, as_tuple=True)
    x, y, way = tips[row, which, :3].unbind(1)
    even = way < 0
    step = torch.arange(-REACH, REACH + 1, device=device)
    column = (x.floor().long()[:, None] + step)[:, None, :].expand(-1, len(step), -1)
    line = (y.floor().long()[:, None] + step)[:, :, None].expand(-1, -1, len(step))
    far = (column + 0.5 - x[:, None, None]) ** 2 + (line + 0.5 - y[:, None, None]) ** 2
    bump = torch.exp(-far / (2 * 1.2**2))
    inside = (column >= 0) & (column < size) & (line >= 0) & (line < size)
    place = line.clamp(0, size - 1) * size + column.clamp(0, size - 1)
    heat = torch.zeros(n * 2 * size * size, device=device)
    base = (row * 2 + even.long())[:, None, None] * size * size
    heat.scatter_reduce_(0, (base + place).flatten(), (bump * inside).flatten(), "amax")
    heat = heat.view(n, 2, size, size)
    k = torch.arange(SECTORS, device=device)
    away = ((way[:, None] / (360.0 / SECTORS) - k + SECTORS / 2) % SECTORS - SECTORS / 2).abs()
    share = (1 - away).clamp(min=0) * (~even)[:, None]
    near = ((bump > 0.25) & inside)[:, None]
    base = (row[:, None] * SECTORS + k)[:, :, None, None] * size * size
    sectors = torch.zeros(n * SECTORS * size * size, device=device)
    value = (near * share[:, :, None, None]).flatten()
    sectors.scatter_reduce_(0, (base + place[:, None]).flatten(), value, "amax")
    here = (heat[:, :1] > 0.25).expand(-1, SECTORS, -1, -1)
    sectors = sectors.view(n, SECTORS, size, size)
    return heat, torch.where(here, sectors, torch.full_like(sectors, -1))


def page_loss(out: torch.Tensor, tips: torch.Tensor, masks: torch.Tensor) -> torch.Tensor:
    """Focal loss on the heat, cross-entropy on sectors and masks, distance on the text's turn.

    References
    ----------
    H. Law, J. Deng, "CornerNet", 2018: the penalty-reduced focal loss (from memory).
    """
    heat, sectors = heat_targets(tips, out.shape[-1])
    core = torch.zeros_like(heat[:1, :1])
    core[..., EDGE:-EDGE, EDGE:-EDGE] = 1
    p = torch.sigmoid(out[:, :2]).clamp(1e-4, 1 - 1e-4)
    hit = (heat > 0.9).float() * core
    count = hit.sum().clamp(min=1)
    focal = hit * (1 - p) ** 2 * torch.log(p)
    focal = focal + core * (1 - hit) * (1 - heat) ** 4 * p**2 * torch.log(1 - p)
    loss = -focal.sum() / count
    known = ((sectors >= 0) & (core > 0)).float()
    logits = out[:, 2 : 2 + SECTORS]
    each = F.binary_cross_entropy_with_logits(logits, sectors.clamp(min=0), reduction="none")
    loss = loss + 2 * (each * known).sum() / known.sum().clamp(min=1)
    at = 2 + SECTORS
    wanted = masks[:, :3]
    weight = torch.tensor([3.0, 3.0, 3.0], device=out.device)[None, :, None, None]
    loss = loss + 4 * F.binary_cross_entropy_with_logits(
        out[:, at : at + 3], wanted, pos_weight=weight
    )
    turn = masks[:, 3] * (2 * torch.pi / 90.0)
    text = wanted[:, 0] > 0.5
    error = (out[:, at + 3] - torch.cos(turn)).abs() + (out[:, at + 4] - torch.sin(turn)).abs()
    return loss + (error * text).sum() / text.sum().clamp(min=1)
