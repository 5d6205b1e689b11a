"""Arrays come back to the last bit, and bytes from elsewhere never become anything else."""

import io
import zipfile

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from hypothesis.extra import numpy as npst

from explorer.study.blob import BadBlob, applied, delta, packed, unpacked

FLOATS = npst.arrays(np.float64, npst.array_shapes(max_dims=2, min_side=0, max_side=6))
WHOLE = npst.arrays(np.int32, npst.array_shapes(max_dims=1, min_side=0, max_side=6))


@given(
    some.dictionaries(
        some.from_regex(r"[a-z]{1,6}\.[0-9]", fullmatch=True), FLOATS | WHOLE, max_size=5
    )
)
def test_round_trip(arrays: dict[str, np.ndarray]) -> None:
    again = unpacked(packed(arrays))
    assert again.keys() == arrays.keys()
    for name, array in arrays.items():
        assert again[name].dtype == array.dtype
        assert again[name].shape == array.shape
        assert again[name].tobytes() == array.tobytes()


@given(some.binary(max_size=300))
def test_other_bytes_are_refused(data: bytes) -> None:
    with pytest.raises(BadBlob):
        unpacked(data)


@given(some.integers(0, 10**6), some.integers(1, 255))
def test_a_changed_byte_gives_arrays_or_a_refusal(at: int, change: int) -> None:
    data = bytearray(packed({"a": np.arange(12.0).reshape(3, 4), "b": np.arange(3)}))
    data[at % len(data)] ^= change
    try:
        found = unpacked(bytes(data))
    except BadBlob:
        return
    assert sum(a.nbytes for a in found.values()) <= len(data)


def zipped(name: str, member: bytes, kind: int = zipfile.ZIP_STORED) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", kind) as archive:
        archive.writestr(name, member)
    return stream.getvalue()


def npy(header: str, body: bytes = b"") -> bytes:
    head = header.encode()
    return b"\x93NUMPY\x01\x00" + len(head).to_bytes(2, "little") + head + body


def test_a_bomb_is_refused_unread() -> None:
    stream = io.BytesIO()
    np.save(stream, np.zeros(5_000_000))
    bomb = zipped("a.npy", stream.getvalue(), zipfile.ZIP_DEFLATED)
    assert len(bomb) < 100_000
    with pytest.raises(BadBlob, match=r"declares more|compressed"):
        unpacked(bomb)


def test_objects_are_never_loaded() -> None:
    stream = io.BytesIO()
    np.save(stream, np.array([{"a": 1}], dtype=object), allow_pickle=True)
    with pytest.raises(BadBlob, match="objects"):
        unpacked(zipped("a.npy", stream.getvalue()))
    with pytest.raises(BadBlob):
        packed({"a": np.array([{"a": 1}], dtype=object)})


@pytest.mark.parametrize(
    "header",
    [
        "{'descr': '<f8', 'fortran_order': False, 'shape': (1000000000000,), }",
        "{'descr': '<f8', 'fortran_order': False, 'shape': (-1,), }",
        "{'descr': '<f8', 'fortran_order': False, 'shape': (1.0,), }",
        "{'descr': '<f8', 'fortran_order': True, 'shape': (1,), }",
        "{'descr': '|O', 'fortran_order': False, 'shape': (1,), }",
        "{'descr': [('a', '<f8')], 'fortran_order': False, 'shape': (1,), }",
        "__import__('os').abort()",
        "[" * 900,
    ],
)
def test_a_header_that_lies_is_refused(header: str) -> None:
    with pytest.raises(BadBlob):
        unpacked(zipped("a.npy", npy(header, bytes(8))))


@given(some.integers(0, 6), some.lists(some.integers(0, 8), max_size=12))
def test_differences_lead_to_the_same_rows(n: int, picked: list[int]) -> None:
    pool = np.random.default_rng(1).random((9, 3))
    before, after = pool[:n], pool[picked]
    index, fresh = delta(before, after)
    assert applied(before, index, fresh).tobytes() == after.tobytes()
    assert len(fresh) == len({p for p in picked if p >= n})


def test_rows_are_told_apart_by_their_bits() -> None:
    """A zero and a minus zero differ, two of one sort of not-a-number do not; so do whole numbers and halves."""
    before = np.array([[0.0, 1.0], [np.nan, 2.0], [3.0, 0.5]])
    after = np.array([[-0.0, 1.0], [np.nan, 2.0], [0.5, 3.0], [3.0, 0.5], [-0.0, 1.0]])
    index, fresh = delta(before, after)
    assert index.tolist() == [3, 1, 4, 2, 3]
    assert fresh.tobytes() == after[[0, 2]].tobytes()


def test_an_index_that_leads_nowhere() -> None:
    with pytest.raises(BadBlob, match="not there"):
        applied(np.zeros((2, 1)), np.array([2]), np.zeros((0, 1)))
