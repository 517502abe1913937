"""Groups of named, finite arrays in HDF5, with dimension scales, units and long names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import h5py
import numpy as np
from h5py import h5ds
from numpy.typing import NDArray

from wirebloom.take.attributes import describe, fault, storable
from wirebloom.take.columns import Arrays
from wirebloom.take.contents import Table, Variable

BLOCK = 1 << 18  # numbers at a time: signals that lie interleaved in memory are never copied whole
SHORT = 1 << 12  # numbers that are written along with what says what they are
BESIDE = ("time", "place")  # variables that say where the others stand


class Axis(NamedTuple):
    """Values along a dimension, with unit and meaning."""

    values: NDArray[Any]
    units: str
    long_name: str


def numbers(count: int, long_name: str, first: int = 0) -> Axis:
    """Return an axis that counts."""
    return Axis(np.arange(first, first + count), "1", long_name)


def labels(names: Sequence[str], long_name: str) -> Axis:
    """Return an axis of names."""
    return Axis(np.array(names, dtype=object), "1", long_name)


def write_group(group: h5py.Group, table: Table, arrays: Mapping[str, NDArray[Any]], axes: Mapping[str, Axis]) -> None:
    """Write variables, and those of the axes along which they go.

    The variables "time" and "place" are marked as coordinates of the others.

    Raises
    ------
    ContentError
        If a size does not fit its axis, a number is not finite, or a text cannot be stored.
    """
    used = {dim: axes[dim] for variable in table.values() for dim in variable.dims}
    scales = {name: _put_axis(group, name, axis) for name, axis in used.items()}
    datasets = {
        name: _put_variable(group, name, table, arrays[name], {dim: axes[dim].values.size for dim in table[name].dims}) for name in table
    }
    for name, variable in table.items():
        for place, dim in enumerate(variable.dims):
            h5ds.attach_scale(datasets[name].id, scales[dim].id, place)
        beside = [other for other in BESIDE if other in table and set(table[other].dims) <= set(variable.dims)]
        if beside and name not in BESIDE:
            describe(datasets[name], {"coordinates": " ".join(beside)})
    _fill(group, [(scales[name], axis.values) for name, axis in used.items()] + [(datasets[name], arrays[name]) for name in table])


def _put_variable(group: h5py.Group, name: str, table: Table, array: NDArray[Any], sizes: Mapping[str, int]) -> h5py.Dataset:
    variable = table[name]
    due = tuple(sizes[dim] for dim in variable.dims)
    if array.shape != due:
        raise fault(f"{group.name}/{name}", f"of the shape {due}, along {', '.join(variable.dims)}", array.shape)
    return _put(group, name, array, variable)


def _fill(group: h5py.Group, pairs: Sequence[tuple[h5py.Dataset, NDArray[Any]]]) -> None:
    """Write the long arrays, once all that says what they are is in the file: of one that is cut off then only their ends are lost."""
    long = [(dataset, array) for dataset, array in pairs if array.size > SHORT and array.dtype != object]
    if long:
        group.file.flush()
    for dataset, array in long:
        for rows in _blocks(array):
            dataset[rows] = _finite(dataset.name, array[rows])


def _put_axis(group: h5py.Group, name: str, axis: Axis) -> h5py.Dataset:
    dataset = _put(group, name, axis.values, Variable((name,), axis.units, axis.long_name, axis.values.dtype == object))
    h5ds.set_scale(dataset.id, name.encode())
    return dataset


def _put(group: h5py.Group, name: str, array: NDArray[Any], variable: Variable) -> h5py.Dataset:
    key = f"{group.name}/{name}"
    dataset = _put_texts(group, key, name, array) if variable.text else _put_numbers(group, key, name, array)
    describe(dataset, {"units": variable.units, "long_name": variable.long_name})
    return dataset


def _put_texts(group: h5py.Group, key: str, name: str, array: NDArray[Any]) -> h5py.Dataset:
    for text in array.flat:
        storable(key, text)
    return group.create_dataset(name, data=array, dtype=h5py.string_dtype())


def _put_numbers(group: h5py.Group, key: str, name: str, array: NDArray[Any]) -> h5py.Dataset:
    if array.size <= SHORT:
        return group.create_dataset(name, data=_finite(key, array))
    return group.create_dataset(name, shape=array.shape, dtype=array.dtype)


def _blocks(array: NDArray[Any]) -> Iterator[slice]:
    step = max(1, BLOCK * array.shape[0] // max(1, array.size)) if array.size else 1
    return (slice(first, first + step) for first in range(0, array.shape[0] if array.size else 0, step))


def _finite(key: str, array: NDArray[Any]) -> NDArray[Any]:
    if not np.isfinite(array).all():
        raise fault(key, "finite everywhere", array[~np.isfinite(array)][0])
    return array


def read_group(group: h5py.Group, table: Table) -> Arrays:
    """Return the variables of a table from a group.

    Raises
    ------
    ContentError
        If one is missing, of another kind or size, or not finite.
    """
    sizes: dict[str, int] = {}
    return {name: _get(group, name, variable, sizes) for name, variable in table.items()}


def _get(group: h5py.Group, name: str, variable: Variable, sizes: dict[str, int]) -> NDArray[Any]:
    key, dataset = f"{group.name}/{name}", group.get(name)
    if dataset is None and variable.absent is not None:
        return np.full(tuple(sizes[dim] for dim in variable.dims), variable.absent, dtype=object if variable.text else np.float64)
    if not isinstance(dataset, h5py.Dataset):
        raise fault(key, "in the file", "nothing")
    due = tuple(sizes.setdefault(dim, size) for dim, size in zip(variable.dims, dataset.shape, strict=False))
    if due != dataset.shape or len(due) != len(variable.dims):
        raise fault(key, f"an array along {', '.join(variable.dims)}", f"the shape {dataset.shape}")
    if variable.text != (h5py.check_string_dtype(dataset.dtype) is not None):
        raise fault(key, "texts" if variable.text else "numbers", f"the type {dataset.dtype}")
    if variable.text:
        return np.asarray(dataset.asstr()[()], dtype=object)
    if dataset.dtype.kind not in "iuf":
        raise fault(key, "numbers", f"the type {dataset.dtype}")
    array = np.empty(dataset.shape, dataset.dtype.newbyteorder("="))
    if array.size:
        dataset.read_direct(array)
    for rows in _blocks(array):
        _finite(key, array[rows])
    return array
