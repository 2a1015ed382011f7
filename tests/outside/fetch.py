"""Reference photographs out of Debian packages: fetched when wanted, never committed.

    python -m tests.outside.fetch

Needs apt-get and dpkg-deb, but no root: the packages are downloaded, not installed, and only the
files named here are unpacked, into an ignored folder.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

FOLDER = Path(__file__).parents[2] / ".work" / "outside"
DOWNLOAD_S = 300  # the packages have 75 and 96 MB
DOTS = "./usr/share/visp-images-data/ViSP-images/calibration"


class NotToBeHad(Exception):
    """The packages cannot be downloaded here: no apt-get, no network, no such package."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A file in a package; the numbers in the tests are those of exactly this file."""

    package: str
    path: str
    sha256: str


# Photographs of a chessboard of 9×6 inner corners, 640×480 px (OpenCV samples); Apache-2.0.
BOARDS = {
    "left01.jpg": "9621899098adffa1440c8264606bb7be535ccfd9ad126ae8e0bd9b0c5a5b8676",
    "left02.jpg": "052e700bbcc865c112958ec2ea105cb1bce4deca50ac8d6efae13adca9df7a2c",
    "left03.jpg": "c85b9426c3d8fcf161e1e727356105091009c3fd0b1b1a65bc2da91fea2724d2",
    "left04.jpg": "b490599dccfbfe5eb56d33363415b02227a9548ab8c9b8e7b05d3580e97266d9",
    "left05.jpg": "40bab8934fa76f82ec614a7fd0e6ebb4d9f74391d5e8b0c6f2f0ed6080c6c4de",
    "left06.jpg": "1cb164db61b3bd52f58a7e9340bb27c5e0278895bc80b6f292fba5cf9bccc4a1",
    "left07.jpg": "d2211fe9f971646b6ff88ed93a4f0d3f443741eb2894095cba15caade7c8c6e4",
    "left08.jpg": "f7a0737894812a28243af5b409c5689f4fadfe7610958b8ca5fc79aec2f2cd1b",
    "left09.jpg": "753939bc62d093c001d9118e989bef2b887f1b2f9ac03603df915a8b85aa81d3",
    "left11.jpg": "e736ace3d515c94c547009c3c10d818c81506ed7059cb31123749b9cc3f94ee8",
    "left12.jpg": "04bdd78b3b507fe0551aa7062a3ffd94846a147ee2bea7fb38082c720bdbe231",
    "left13.jpg": "2637fb6dd5e557f4fadb06b353a453eb0b9223f4671f6f572f815302bc4a70b3",
    "left14.jpg": "d4c032971dd7b859f9d6aed5090c9888bd8039b82e0604bee5bfe05444fce834",
}
FILES = {
    # A printed grid of 6×6 dots, centres 30 mm apart (ViSP, calibrate2dGrid.cpp); GPL-2.
    "grid36-01.pgm": Wanted(
        "visp-images-data",
        f"{DOTS}/grid36-01.pgm",
        "accc4821ba8b38c52d1374053910a7e434ad119529df107dd84010ffa7a9b549",
    ),
    "grid36-02.pgm": Wanted(
        "visp-images-data",
        f"{DOTS}/grid36-02.pgm",
        "32d7732f8bd1880803024c9b5dc4431847853b3ae00625cb94f5fd5f7b375409",
    ),
    "grid36-03.pgm": Wanted(
        "visp-images-data",
        f"{DOTS}/grid36-03.pgm",
        "fd4f6d8bb682b6348c50103c5c4f1bc42bfc4cead31f6ed4efdcc7cacb7e6383",
    ),
    "grid36-04.pgm": Wanted(
        "visp-images-data",
        f"{DOTS}/grid36-04.pgm",
        "b72bb0d5a758c14980cfeab581cbc68433ed65e4b67abfad503e6568daa891e9",
    ),
    # A chessboard that is not square (opencv issue 22650); Apache-2.0.
    "chessboard.png": Wanted(
        "opencv-doc",
        "./usr/share/doc/opencv-doc/examples/data/chessboard.png",
        "36a04f9701b424550dbff7cf8c4e5cd7a12e68cea45a98774285af7799492254",
    ),
    **{
        name: Wanted("opencv-doc", f"./usr/share/doc/opencv-doc/examples/data/{name}", digest)
        for name, digest in BOARDS.items()
    },
}


def find(name: str) -> Path | None:
    """Return a file that was fetched before, or `None`."""
    path = FOLDER / name
    return path if path.is_file() else None


def fetch(names: Iterable[str] = FILES) -> None:
    """Fetch files that are not there yet.

    Raises
    ------
    NotToBeHad
        If a package cannot be downloaded or unpacked here.
    AssertionError
        If a package holds another file by that name than it did.
    """
    missing = {name: FILES[name] for name in names if find(name) is None}
    FOLDER.mkdir(parents=True, exist_ok=True)
    for package in sorted({wanted.package for wanted in missing.values()}):
        files = {w.path: name for name, w in missing.items() if w.package == package}
        with tempfile.TemporaryDirectory(dir=FOLDER) as folder:
            _unpack(_download(package, Path(folder)), files, Path(folder))


def _download(package: str, folder: Path) -> Path:
    for tool in ("apt-get", "dpkg-deb"):
        if shutil.which(tool) is None:
            raise NotToBeHad(f"there is no {tool} here")
    try:
        done = subprocess.run(
            ["apt-get", "download", package],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=DOWNLOAD_S,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise NotToBeHad(f"apt-get download {package} took over {DOWNLOAD_S} s") from error
    found = sorted(folder.glob(f"{package}_*.deb"))
    if done.returncode != 0 or not found:
        said = [line for line in done.stderr.splitlines() if line.startswith("E:")]
        raise NotToBeHad(f"apt-get download {package}: {said[0] if said else 'failed'}")
    return found[0]


def _unpack(package: Path, files: dict[str, str], folder: Path) -> None:
    with subprocess.Popen(
        ["dpkg-deb", "--fsys-tarfile", str(package)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as process:
        assert process.stdout is not None
        try:
            with tarfile.open(fileobj=process.stdout, mode="r|") as archive:
                for member in archive:
                    if member.name in files and (inside := archive.extractfile(member)):
                        _keep(inside, files.pop(member.name), folder)
                    if not files:
                        break
        except tarfile.TarError as error:
            raise NotToBeHad(f"{package.name} cannot be unpacked: {error}") from error
        finally:
            process.kill()
    assert not files, f"{package.name} no longer holds {', '.join(files)}"


def _keep(inside: IO[bytes], name: str, folder: Path) -> None:
    """Store a file whole or not at all; two test runs may do so at once."""
    data = inside.read()
    digest = hashlib.sha256(data).hexdigest()
    assert digest == FILES[name].sha256, f"{name} is another file than it was: sha256 {digest}"
    part = folder / name
    part.write_bytes(data)
    part.replace(FOLDER / name)


if __name__ == "__main__":
    try:
        fetch()
    except NotToBeHad as reason:
        sys.exit(f"the reference photographs cannot be had: {reason}")
