"""Clean darkness made to look scanned, on the device that trains."""

from __future__ import annotations

import math

import torch
import torch.nn.functional as F  # as everybody writes it


class Wear:
    """Ink, pencil, blur, noise, light, dirt, folds, bleed, screens, packing, bilevel."""

    def __init__(self, rng: torch.Generator) -> None:
        self.rng = rng
        self.device = rng.device

    def __call__(self, x: torch.Tensor) -> torch.Tensor:
        """Wear a batch (n, 1, h, w) of darkness, each crop its own way."""
        x = self._pen(x)
        x = self._nick(x)
        x = self._lose_resolution(x)
        x = self._blur(x)
        x = self._smear(x)
        x = x * self._draw(len(x), 0.45, 1.05)
        x = self._copy(x)
        x = self._soil(x)
        x = self._bind(x)
        x = self._grain(x)
        return self._reproduce(x).clamp(0, 1)

    def _draw(self, n: int, low: float, high: float) -> torch.Tensor:
        unit = torch.rand((n, 1, 1, 1), device=self.device, generator=self.rng)
        return unit * (high - low) + low

    def _some(self, n: int, share: float) -> torch.Tensor:
        return (self._draw(n, 0, 1) < share).float()

    def _field(self, n: int, knots: int, size: torch.Size) -> torch.Tensor:
        """A smooth field of about unit spread."""
        rough = torch.randn((n, 1, knots, knots), device=self.device, generator=self.rng)
        return 1.4 * F.interpolate(rough, size=size[-2:], mode="bilinear")

    def _pen(self, x: torch.Tensor) -> torch.Tensor:
        n = len(x)
        spread = self._draw(n, 0, 1)
        fat = F.max_pool2d(x, 3, 1, 1)
        lean = -F.max_pool2d(-x, 3, 1, 1)
        x = torch.where(spread < 0.08, fat, torch.where(spread > 0.95, 0.5 * (x + lean), x))
        # a dry pen or a worn print: strokes fade in places
        gone = torch.sigmoid(6 * (self._field(n, 40, x.shape) - self._draw(n, 1.2, 3.0)))
        x = x * (1 - 0.9 * gone * self._some(n, 0.12))
        pencil = 1 - self._draw(n, 0.1, 0.4) * self._noise(x, 3).abs().clamp(max=1.5)
        return x * torch.where(self._some(n, 0.15) > 0, pencil, torch.ones_like(pencil)).clamp(
            min=0
        )

    def _nick(self, x: torch.Tensor) -> torch.Tensor:
        """Rough paper and coarse type: ink has holes and gaps a px or two wide."""
        n = len(x)
        holes = F.max_pool2d((self._noise(x, 3) > self._draw(n, 1.5, 2.8)).float(), 2, 1, 0)
        holes = F.pad(holes, (0, 1, 0, 1)) * self._draw(n, 0.3, 1.0) * self._some(n, 0.14)
        return x * (1 - holes)

    def _smear(self, x: torch.Tensor) -> torch.Tensor:
        """A camera that moved along one way; or edges that a scanner sharpened."""
        n = len(x)
        along = F.avg_pool2d(x, (1, 5), 1, (0, 2), count_include_pad=False)
        across = F.avg_pool2d(x, (5, 1), 1, (2, 0), count_include_pad=False)
        moved = torch.where(self._some(n, 0.5) > 0, along, across)
        share = self._draw(n, 0.3, 1.0) * self._some(n, 0.06)
        x = x * (1 - share) + moved * share
        sharp = x + self._draw(n, 0.3, 1.5) * (x - F.avg_pool2d(x, 3, 1, 1))
        return torch.where(self._some(n, 0.15) > 0, sharp.clamp(0, 1.2), x)

    def _noise(self, x: torch.Tensor, size: int) -> torch.Tensor:
        white = torch.randn(x.shape, device=self.device, generator=self.rng)
        return F.avg_pool2d(white, size, 1, size // 2) * size

    def _lose_resolution(self, x: torch.Tensor) -> torch.Tensor:
        chance, factor = torch.rand(2, generator=self.rng, device=self.device).tolist()
        if chance > 0.35:
            return x
        small = F.interpolate(x, scale_factor=0.5 + 0.45 * factor, mode="area")
        return F.interpolate(small, size=x.shape[-2:], mode="bilinear")

    def _blur(self, x: torch.Tensor) -> torch.Tensor:
        n = len(x)
        sigma = self._draw(n, 0.2, 1.3) * (1 + 0.5 * self._some(n, 0.1))
        k = torch.arange(-5, 6, device=self.device).float()
        g = torch.exp(-(k[None] ** 2) / (2 * sigma.view(n, 1) ** 2))
        g = g / g.sum(1, keepdim=True)
        y = F.conv2d(x.view(1, n, *x.shape[2:]), g.view(n, 1, 1, 11), padding=(0, 5), groups=n)
        y = F.conv2d(y, g.view(n, 1, 11, 1), padding=(5, 0), groups=n).view_as(x)
        return torch.where(self._some(n, 0.8) > 0, y, x)

    def _copy(self, x: torch.Tensor) -> torch.Tensor:
        """What shines through from the other side of the sheet."""
        n = len(x)
        back = F.avg_pool2d(x.roll(1, 0).flip(3), 3, 1, 1) * self._draw(n, 0.05, 0.3)
        return torch.maximum(x, back * self._some(n, 0.14))

    def _soil(self, x: torch.Tensor) -> torch.Tensor:
        """Uneven light, stains, specks, and a fold across."""
        n, size = len(x), x.shape[-1]
        blotch = self._field(n, 16, x.shape)
        x = x * (1 + blotch * self._draw(n, 0, 0.09))
        x = x + blotch.clamp(min=0) * self._draw(n, 0, 0.03)
        specks = (self._noise(x, 3) > 3.1).float() * self._draw(n, 0.2, 0.8)
        x = torch.maximum(x, F.avg_pool2d(specks, 3, 1, 1) * 2 * self._some(n, 0.12))
        at = torch.arange(size, device=self.device).float()
        far = at.view(1, 1, 1, size) - self._draw(n, 0, size)
        ridge = torch.exp(-(far**2) / (2 * self._draw(n, 0.7, 3.5) ** 2))
        ridge = torch.where(self._some(n, 0.5) > 0, ridge, ridge.transpose(2, 3))
        side = self._some(n, 0.5)
        dark = x + ridge * self._draw(n, 0.05, 0.35)
        light = x * (1 - ridge * self._draw(n, 0.3, 1.0))
        folded = dark * side + light * (1 - side)
        return torch.where(self._some(n, 0.07) > 0, folded, x)

    def _bind(self, x: torch.Tensor) -> torch.Tensor:
        """The shadow of a book's gutter or of the glass's rim along one side, black or gray."""
        n, size = len(x), x.shape[-1]
        at = torch.arange(size, device=self.device).float().view(1, 1, 1, size)
        rim = self._draw(n, -0.3, 0.35) * size
        shade = torch.sigmoid((rim - at) / self._draw(n, 1.0, 18.0)) * self._draw(n, 0.15, 1.0)
        shade = torch.where(self._some(n, 0.5) > 0, shade, shade.flip(3))
        shade = torch.where(self._some(n, 0.5) > 0, shade, shade.transpose(2, 3))
        return torch.maximum(x, shade * self._some(n, 0.05))

    def _grain(self, x: torch.Tensor) -> torch.Tensor:
        n = len(x)
        white = torch.randn(x.shape, device=self.device, generator=self.rng)
        x = x + white * self._draw(n, 0, 0.07) * self._some(n, 0.7)
        return x + self._noise(x, 3) * self._draw(n, 0, 0.08) * self._some(n, 0.3)

    def _reproduce(self, x: torch.Tensor) -> torch.Tensor:
        """Bilevel by a threshold or a printer's screen; packed in blocks as JPEG is."""
        n, size = len(x), x.shape[-1]
        kind = self._draw(n, 0, 1)
        t = torch.arange(size, device=self.device).float()
        pitch = self._draw(n, 2.6, 6.0)
        a, b = t.view(1, 1, 1, size), t.view(1, 1, size, 1)
        wave = torch.sin(math.pi * (a + b) / pitch) * torch.sin(math.pi * (a - b) / pitch)
        level = self._draw(n, 0.45, 1.05) * _usual_ink(x)  # as a scanner sets it: most stays
        uneven = level * (1 + self._field(n, 24, x.shape) * self._draw(n, 0, 0.2))
        hard = (x > uneven).float()
        fine = F.interpolate(x, size=(3 * size // 2, 3 * size // 2), mode="bilinear")
        rough = F.interpolate(uneven.expand_as(x), size=fine.shape[-2:], mode="bilinear")
        finer = F.interpolate((fine > rough).float(), size=(size, size), mode="area")
        screened = (x > level + 0.3 * wave).float()
        x = torch.where(kind < 0.17, hard, x)
        x = torch.where((kind > 0.17) & (kind < 0.25), finer, x)
        x = torch.where((kind > 0.25) & (kind < 0.28), screened, x)
        # the deeper the rounding the rarer it is
        packed = _packed(x, 0.02 + 0.16 * self._draw(n, 0, 1) ** 2)
        return torch.where((kind > 0.28) & (kind < 0.5), packed, x)


def _usual_ink(x: torch.Tensor) -> torch.Tensor:
    """Mean darkness of a crop's ink, (n, 1, 1, 1)."""
    inked = (x > 0.2 * x.amax((2, 3), keepdim=True)).float()
    mean = (x * inked).sum((2, 3), keepdim=True) / inked.sum((2, 3), keepdim=True).clamp(min=1)
    return mean.clamp(0.1, 1)


def _packed(x: torch.Tensor, step: torch.Tensor) -> torch.Tensor:
    """Round the cosine coefficients of blocks of 8, the fine ones more coarsely."""
    n, _, h, w = x.shape
    k = torch.arange(8, device=x.device).float()
    basis = torch.cos(math.pi * k[:, None] * (k[None] + 0.5) / 8) * 0.5
    basis[0] /= math.sqrt(2.0)
    blocks = x.view(n, h // 8, 8, w // 8, 8).transpose(2, 3)
    cosine = basis @ blocks @ basis.T
    by = step.view(n, 1, 1, 1, 1) * (1 + 0.5 * (k[:, None] + k[None]))
    back = basis.T @ (torch.round(cosine / by) * by) @ basis
    return back.transpose(2, 3).reshape(n, 1, h, w)
