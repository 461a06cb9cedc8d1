"""The network once more, in plain NumPy, to hold the ONNX graph against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]


def forward(mel: Array, arrays: dict[str, Array]) -> tuple[Array, Array]:
    """Return pooled features and log probabilities of the phones."""
    twins = int(arrays["twins"].item())
    found = [_twin(mel, _part(arrays, twin, twins)) for twin in range(twins)]
    pooled = np.concatenate([own for own, _ in found])
    heard = np.concatenate([early for _, early in found])
    phones = arrays["phones.weight"][:, :, 0] @ heard
    phones = (phones + arrays["phones.bias"][:, None]).T
    top = phones.max(axis=1, keepdims=True)
    total = np.log(np.exp(phones - top).sum(axis=1, keepdims=True)) + top
    return pooled, phones - total


def _part(arrays: dict[str, Array], twin: int, twins: int) -> dict[str, Array]:
    """Return what belongs to one of the twins; layers are parted by outputs."""
    shared = ("dilations", "halved_after", "phones_after")
    return {
        name: value if name in shared else np.split(value, twins)[twin]
        for name, value in arrays.items()
        if name.split(".")[0] not in ("phones", "last", "twins")
    }


def _twin(mel: Array, arrays: dict[str, Array]) -> tuple[Array, Array]:
    """Return pooled features, and what the layer for the phones is given."""
    x = _first_layer(mel, arrays)
    halved, phones_after = (
        int(arrays[name].item()) for name in ("halved_after", "phones_after")
    )
    early = x
    for index, dilation in enumerate(arrays["dilations"]):
        if index == halved:
            even = x.shape[1] // 2 * 2
            x = 0.5 * (x[:, 0:even:2] + x[:, 1:even:2])
        x = _block(x, index, int(dilation), arrays)
        if index + 1 == phones_after:
            early = x
    return np.concatenate([x.mean(axis=1), x.max(axis=1)]), early


def _first_layer(mel: Array, arrays: dict[str, Array]) -> Array:
    """3 x 3 convolution with frequency step 2, then all channels mixed."""
    kernel = arrays["first.weight"][:, 0]
    padded = np.pad(mel, 1)
    views = np.lib.stride_tricks.sliding_window_view(padded, (3, 3))[::2]
    channels, bands, steps = kernel.shape[0], views.shape[0], views.shape[1]
    patches = views.reshape(bands * steps, 9)
    x = (patches @ kernel.reshape(channels, 9).T).T.reshape(channels, bands, steps)
    x = np.maximum(x + arrays["first.bias"][:, None, None], 0)
    mixed = arrays["mix.weight"][:, :, 0] @ x.reshape(channels * bands, steps)
    mixed += arrays["mix.bias"][:, None]
    return np.asarray(np.maximum(mixed, 0), dtype=np.float32)


def _block(x: Array, index: int, dilation: int, arrays: dict[str, Array]) -> Array:
    """Depthwise over time, pointwise over channels, gates, residual."""
    name = f"block{index}"
    kernel = arrays[f"{name}.depthwise.weight"][:, 0]
    taps = kernel.shape[1]
    reach = dilation * (taps // 2)
    padded = np.pad(x, ((0, 0), (reach, reach)))
    y = np.repeat(arrays[f"{name}.depthwise.bias"][:, None], x.shape[1], axis=1)
    for tap in range(taps):
        start = tap * dilation
        y += kernel[:, tap, None] * padded[:, start : start + x.shape[1]]
    np.maximum(y, 0, out=y)
    z = arrays[f"{name}.pointwise.weight"][:, :, 0] @ y
    z = z + arrays[f"{name}.pointwise.bias"][:, None]
    squeezed = arrays[f"{name}.squeeze.weight"][:, :, 0] @ z.mean(axis=1)
    squeezed = np.maximum(squeezed + arrays[f"{name}.squeeze.bias"], 0)
    gate = arrays[f"{name}.excite.weight"][:, :, 0] @ squeezed
    gate += arrays[f"{name}.excite.bias"]
    gated = z / (1 + np.exp(-gate))[:, None]
    return np.asarray(np.maximum(x + gated, 0), dtype=np.float32)
