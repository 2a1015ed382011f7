"""Trained weights made trainable again, and put together: the answers must stay what they were.

What runs the packed weights is another engine than the one they are trained with.
"""

from __future__ import annotations

import hashlib
import queue
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch")
onnx = pytest.importorskip("onnx")

from audit.networks.reader import FIRST, THIRD  # noqa: E402  # only where it can be trained
from audit.training.reader import blend, mean, together  # noqa: E402
from audit.training.reader.network import ReaderNetwork, is_large, load_network  # noqa: E402
from audit.training.reader.pack import pack_model  # noqa: E402
from audit.training.reader.restore import enlarge, layers, restore  # noqa: E402


@pytest.fixture(autouse=True, scope="module")
def one_thread():
    """Threads that wait for each other take longer than the work on a crowded machine."""
    before = torch.get_num_threads()
    torch.set_num_threads(1)
    yield
    torch.set_num_threads(before)


def crops(count=6, width=96):
    """Dark strokes on paper, uint8."""
    rng = np.random.default_rng(11)
    batch = np.full((count, 48, width), 255, np.uint8)
    for crop in batch:
        for x, y in rng.integers(0, (width - 20, 40), (12, 2)):
            crop[y : y + rng.integers(2, 8), x : x + rng.integers(2, 20)] = rng.integers(0, 120)
    return batch


def ink(batch):
    return (255 - torch.from_numpy(batch)[:, None].float()) / 255


@pytest.fixture(scope="module")
def restored():
    weights = Path(str(resources.files("audit.networks").joinpath("weights/reader.npz")))
    return restore(weights, [ink(crops())])


def test_restored_weights_answer_as_the_packed_ones_do(restored):
    packed = FIRST._run(crops())
    with torch.no_grad():
        logits = restored(ink(crops())).numpy()
    count, columns = len(logits), logits.shape[-1]
    again = logits.reshape(count, -1, packed.shape[2], columns).transpose(0, 3, 1, 2)
    again = again.reshape(packed.shape)  # as the reader puts its frames in a row
    assert np.abs(packed).max() > 1.0
    assert np.abs(again - packed).max() < 2e-3 * np.abs(packed).max()


def test_restored_normalisations_see_what_they_expect(restored):
    """In training a batch is normalised by itself: it must come out nearly as it does now."""
    with torch.no_grad():
        before = restored.eval()(ink(crops()))
        after = restored.train()(ink(crops()))
        restored.eval()
    assert float((after - before).abs().mean()) < 0.1 * float(before.abs().mean())


def test_a_mean_lies_in_the_middle_and_keeps_whole_numbers_whole():
    torch.manual_seed(3)
    one, other = ReaderNetwork().state_dict(), ReaderNetwork().state_dict()
    middle = mean.mean_of([one, other])
    assert middle.keys() == one.keys()
    for name, value in middle.items():
        assert value.dtype == one[name].dtype
        assert torch.allclose(value.float(), (one[name].float() + other[name].float()) / 2)
    same = mean.mean_of([one, one])
    assert all(torch.equal(same[name], one[name]) for name in one)


def test_the_normalisations_of_a_mean_are_measured_anew(monkeypatch):
    monkeypatch.setattr(mean, "augment", lambda raw: (255 - raw[:, None].float()) / 255)
    torch.manual_seed(4)
    network = ReaderNetwork()
    norm = layers(network)[0][1]
    norm.running_mean.fill_(9.0)  # of another network
    mean.measure_norms(network, [ink(crops()), ink(crops()[::-1].copy())])
    seen = []
    heard = norm.register_forward_hook(lambda _, __, out: seen.append(out.clone()))
    with torch.no_grad():
        network(ink(crops()))
    heard.remove()
    assert float(seen[0].mean()) == pytest.approx(0.0, abs=1e-3)
    assert float(seen[0].std()) == pytest.approx(1.0, abs=0.02)
    assert not network.training


def test_a_network_of_fewer_blocks_is_loaded_as_it_was():
    torch.manual_seed(5)
    small, large = ReaderNetwork(0).eval(), ReaderNetwork().eval()
    again = load_network(small.state_dict()).eval()
    with torch.no_grad():
        assert torch.equal(again(ink(crops())), small(ink(crops())))
    assert len(layers(large)) == len(layers(small)) + 8


def test_an_enlarged_network_answers_as_before_until_it_is_trained(restored):
    large = enlarge(restored).eval()
    with torch.no_grad():
        assert torch.allclose(large(ink(crops())), restored(ink(crops())), atol=1e-4)
    assert load_network(large.state_dict()).state_dict().keys() == large.state_dict().keys()
    large.train()(ink(crops())).square().mean().backward()
    assert float(large.along[-1].mix[-1].weight.grad.abs().max()) > 0  # it can learn


def test_a_run_that_is_behind_holds_up_no_other(monkeypatch):
    monkeypatch.setattr(together, "PATIENCE", 0.01)
    behind, other = queue.Queue(1), queue.Queue(5)
    shared = together.Several([behind, other])
    for chunk in range(3):
        shared.put(chunk)
    assert (behind.qsize(), other.qsize()) == (1, 3)


def packed_file(name):
    return Path(str(resources.files("audit.networks").joinpath(f"weights/{name}.npz")))


def test_a_large_network_is_restored_as_large():
    third = restore(packed_file("reader-third"), [ink(crops())])
    assert is_large(third.state_dict())
    packed = THIRD._run(crops())
    with torch.no_grad():
        logits = third(ink(crops())).numpy()
    again = logits.reshape(len(logits), -1, packed.shape[2], logits.shape[-1])
    again = again.transpose(0, 3, 1, 2).reshape(packed.shape)
    assert np.abs(again - packed).max() < 2e-3 * np.abs(packed).max()


def test_a_blend_lies_between_packed_networks_by_their_shares(tmp_path):
    second, other, target = packed_file("reader-second"), tmp_path / "o.npz", tmp_path / "t.npz"
    model = blend.read_model(second)
    for tensor in blend.tensors_of(model):
        value = onnx.numpy_helper.to_array(tensor)
        tensor.CopyFrom(onnx.numpy_helper.from_array(value * np.float32(3), tensor.name))
    other.write_bytes(pack_model(model))
    digest = blend.blend(target, [(0.75, second), (0.25, other)])
    assert digest == hashlib.sha256(target.read_bytes()).hexdigest()
    before, after = (blend.tensors_of(blend.read_model(p)) for p in (second, target))
    for one, mixed in zip(before, after, strict=True):
        values = onnx.numpy_helper.to_array(one)
        steps = np.abs(values).max() / 50 + 1e-6  # bytes hold 127 either way
        assert np.abs(onnx.numpy_helper.to_array(mixed) - 1.5 * values).max() < steps


def test_only_networks_of_one_build_are_blended_and_shares_add_up(tmp_path):
    first, second = packed_file("reader"), packed_file("reader-second")
    with pytest.raises(ValueError, match="built differently"):
        blend.blend(tmp_path / "t.npz", [(0.5, first), (0.5, second)])
    with pytest.raises(ValueError, match="add up"):
        blend.blend(tmp_path / "t.npz", [(0.5, first), (0.4, first)])
