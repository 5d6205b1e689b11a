"""Arrays as bytes and back: plain .npy members in an uncompressed zip, and nothing that can run.

Reading trusts nothing: no compression (so nothing can unfold to more than it is), no objects, and a
member's header must account for its size to the byte before any array is made.
"""

from __future__ import annotations

import ast
import io
import math
import zipfile
from collections.abc import Mapping
from itertools import count

import numpy as np
from numpy.typing import NDArray

from explorer.mechanics.types import Floats, Ints
from explorer.search.problem import Rows

Arrays = Mapping[str, NDArray[np.generic]]
_KINDS = {"<f8", "<i8", "<i4", "|b1"}
_MAGIC = b"\x93NUMPY\x01\x00"
_LONGEST_HEADER = 1000
_MOST_MEMBERS = 100_000


class BadBlob(ValueError):
    """Bytes that are not arrays as written here."""


def packed(arrays: Arrays) -> bytes:
    """Arrays as npz bytes, the same bytes for the same arrays."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as archive:
        for name, array in arrays.items():
            if array.dtype.str not in _KINDS:
                raise BadBlob(f"{name}: {array.dtype} is not kept")
            archive.writestr(zipfile.ZipInfo(f"{name}.npy"), _member(array))
    return stream.getvalue()


def _member(array: NDArray[np.generic]) -> bytes:
    stream = io.BytesIO()
    np.lib.format.write_array(
        stream, np.ascontiguousarray(array), version=(1, 0), allow_pickle=False
    )
    return stream.getvalue()


def unpacked(data: bytes) -> dict[str, NDArray[np.generic]]:
    """The arrays of npz bytes; BadBlob where they are anything else."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            _check_directory(infos, len(data))
            return {i.filename.removesuffix(".npy"): _array(archive.read(i)) for i in infos}
    except BadBlob:
        raise
    except (
        zipfile.BadZipFile,
        ValueError,
        KeyError,
        OSError,
        EOFError,
        SyntaxError,
        NotImplementedError,
        RuntimeError,
    ) as error:
        raise BadBlob(f"no arrays: {type(error).__name__}") from error  # fmt: skip


def _check_directory(infos: list[zipfile.ZipInfo], size: int) -> None:
    if len(infos) > _MOST_MEMBERS or sum(i.file_size for i in infos) > size:
        raise BadBlob("declares more than it holds")
    if len({i.filename for i in infos}) != len(infos):
        raise BadBlob("a name twice")
    for i in infos:
        if i.compress_type != zipfile.ZIP_STORED or i.compress_size != i.file_size:
            raise BadBlob("is compressed")


def _array(member: bytes) -> NDArray[np.generic]:
    """One array; its header says exactly what follows."""
    if not member.startswith(_MAGIC):
        raise BadBlob("no array")
    start = len(_MAGIC) + 2
    length = int.from_bytes(member[len(_MAGIC) : start], "little")
    if length > _LONGEST_HEADER or start + length > len(member):
        raise BadBlob("header too long")
    head = ast.literal_eval(member[start : start + length].decode("latin-1"))
    if not isinstance(head, dict) or set(head) != {"descr", "fortran_order", "shape"}:
        raise BadBlob("no header")
    descr, shape = head["descr"], head["shape"]
    whole = isinstance(shape, tuple) and all(type(n) is int and n >= 0 for n in shape)
    if (
        not whole
        or not isinstance(descr, str)
        or descr not in _KINDS
        or head["fortran_order"] is not False
    ):
        raise BadBlob("objects or odd shapes")
    kind = np.dtype(descr)
    if math.prod(shape) * kind.itemsize != len(member) - start - length:
        raise BadBlob("shape and size disagree")
    return np.frombuffer(member, kind, offset=start + length).reshape(shape).copy()


def table(rows: Rows) -> Floats:
    """Rows as one array (N, V + M + 2)."""
    return np.ascontiguousarray(
        np.concatenate([rows.X, rows.F, rows.violation[:, None], rows.tie[:, None]], axis=1)
    )


def rows_of(array: Floats, width: int) -> Rows:
    """Rows of an array made by `table`, `width` columns of which are the vector."""
    return Rows(
        np.ascontiguousarray(array[:, :width]), np.ascontiguousarray(array[:, width:-2]),
        np.ascontiguousarray(array[:, -2]), np.ascontiguousarray(array[:, -1]),
    )  # fmt: skip


def same(before: Floats, after: Floats) -> bool:
    """Whether two tables are the same to the bit."""
    return np.array_equal(before.view(np.uint64), after.view(np.uint64))


def delta(before: Floats, after: Floats) -> tuple[Ints, Floats]:
    """(index (N,), fresh (K,W)): row i of `after` is row index[i] of `before` with fresh below it."""
    n = len(before)
    first = _first_alike(np.concatenate([before, after]))[n:]
    fresh = first == np.arange(n, n + len(after))
    number = np.concatenate([np.arange(n), n + np.cumsum(fresh) - 1])
    return number[first], after[fresh]


def _first_alike(rows: Floats) -> Ints:
    """Of each row (N,W) the first that has the very same bits.

    Rows are told apart by sums of their mixed bits times odd numbers, which is checked: where two rows share
    a sum, other numbers are taken.
    """
    bits = np.ascontiguousarray(rows).view(np.uint64)
    mixed = bits ^ (bits >> np.uint64(33))
    for salt in count():
        odd = np.random.default_rng(salt).integers(0, 2**63, rows.shape[1], np.uint64) * 2 + 1
        _, first, which = np.unique(
            (mixed * odd).sum(axis=1), return_index=True, return_inverse=True
        )
        found = first[which]
        if np.array_equal(bits[found], bits):
            break
    return np.asarray(found, dtype=np.int64)


def applied(before: Floats, index: Ints, fresh: Floats) -> Floats:
    """`after` of `delta`; BadBlob where an index leads nowhere."""
    both = np.concatenate([before, fresh])
    if len(index) and not (int(index.min()) >= 0 and int(index.max()) < len(both)):
        raise BadBlob("a row that is not there")
    return np.ascontiguousarray(both[index])
