"""Train several networks side by side, each on its own card, all on the same samples.

    python -m audit.training.reader.together FONTS OUT START.pt:PEAK... [options of train]

Drawing takes the cores' time: what is drawn once every run learns from. A start may be several
files joined by `+`, of which the mean is taken, or packed weights, `reader.npz@0` with none of the
added blocks; `,large` at its end makes the network a large one. Run k writes to OUT/k.
"""

from __future__ import annotations

import argparse
import copy
import multiprocessing as mp
import os
import queue
import traceback
from pathlib import Path

import numpy as np
import torch
from torch import Tensor

from audit.training.reader.mean import mean_of, measure_norms
from audit.training.reader.network import ADDED, ReaderNetwork, load_network
from audit.training.reader.restore import enlarge, restore, to_batches
from audit.training.reader.stock import Chunk
from audit.training.reader.train import Makers, Run, draw_sets, parse, work

LARGE = ",large"
SETTLED = 24  # batches, of which restored normalisations measure what they see
PATIENCE = 0.5  # s: a run that is at its end or behind must not hold up the others


class Several:
    """Queues that all get every chunk; one that stays full misses it.

    Parameters
    ----------
    queues : list of multiprocessing queues
    """

    def __init__(self, queues: list[mp.Queue]) -> None:  # type: ignore[type-arg]
        self._queues = queues

    def put(self, chunk: Chunk) -> None:
        """Give a chunk to every run."""
        for one in self._queues:
            try:
                one.put(chunk, timeout=PATIENCE)
            except queue.Full:
                continue


def begin(files: str, pictures: list[np.ndarray], target: str) -> None:
    """Write what a run begins with: weights as they are, or the mean of several, settled."""
    batches = to_batches(pictures)
    wanted, large = files.removesuffix(LARGE), files.endswith(LARGE)
    networks = [load_start(file, batches[:SETTLED]) for file in wanted.split("+")]
    network = networks[0]
    if len(networks) > 1:
        network = load_network(mean_of([n.state_dict() for n in networks]))
        torch.manual_seed(0)
        device = "cuda" if torch.cuda.is_available() else "cpu"
        measure_norms(network.to(device), [b.to(device) for b in batches])
    network = enlarge(network.cpu()) if large else network.cpu()
    torch.save(network.state_dict(), target)


def load_start(file: str, batches: list[Tensor]) -> ReaderNetwork:
    """Network of trained or packed weights."""
    path, _, added = file.partition("@")
    if path.endswith(".npz"):
        return restore(Path(path), batches, int(added or len(ADDED)))
    return load_network(torch.load(path, map_location="cpu"))


def train_one(card: int, given: argparse.Namespace, sets: dict, source: mp.Queue) -> None:  # type: ignore[type-arg]
    """Carry one run through on its card; what goes wrong is said and ends it alone."""
    os.environ["CUDA_VISIBLE_DEVICES"] = str(card)
    torch.set_num_threads(1)
    try:
        begin(given.files, [picture for picture, *_ in sets["train"]], given.resume)
        work(Run(given, sets), source)
    except Exception:
        traceback.print_exc()


def own(given: argparse.Namespace, number: int, start: str) -> argparse.Namespace:
    """What run `number` is given: its own folder, seed, start and peak."""
    mine = copy.copy(given)
    mine.files, peak = start.rsplit(":", 1)
    mine.out = str(Path(given.out) / str(number))
    mine.seed, mine.peak = given.seed + number, float(peak)
    Path(mine.out).mkdir(parents=True, exist_ok=True)
    mine.resume = str(Path(mine.out) / "start.pt")
    return mine


def main() -> None:
    """Read the command line and train."""
    parser = parse()
    parser.add_argument("starts", nargs="+", help="START.pt:PEAK")
    given, context = parser.parse_args(), mp.get_context("fork")
    runs = [own(given, k, start) for k, start in enumerate(given.starts)]
    sets = draw_sets(given)
    sources = [context.Queue(maxsize=given.waiting) for _ in runs]
    workers = [
        context.Process(target=train_one, args=(k, run, sets, sources[k]))
        for k, run in enumerate(runs)
    ]
    for worker in workers:
        worker.start()
    makers = Makers(given, Several(sources))
    for worker in workers:
        worker.join()
    makers.stop()


if __name__ == "__main__":
    main()
