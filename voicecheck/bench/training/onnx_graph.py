"""The body of the network as an ONNX graph, from its exported arrays.

Written node by node, so that the file needs nothing of the training library
and comes out the same, byte for byte, from the same arrays. The last layer
stays outside: an enrolled operator has one of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper

from voicecheck.speech.network.features import BANDS

__all__ = ["graph_of"]

OPSET = 17


class _Writer:
    """Collects nodes and weights."""

    def __init__(self, arrays: Mapping[str, NDArray[np.float32]]) -> None:
        self.arrays = arrays
        self.twins = int(arrays["twins"].item())
        self.nodes: list[onnx.NodeProto] = []
        self.weights: dict[str, onnx.TensorProto] = {}
        self._count = 0

    def constant(self, name: str, array: NDArray[np.int64]) -> str:
        if name not in self.weights:
            self.weights[name] = numpy_helper.from_array(array, name)
        return name

    def weight(self, name: str) -> str:
        """Keep a weight at half precision: 11 bits of it, half the file."""
        kept = f"{name}.half"
        self.weights[kept] = numpy_helper.from_array(
            self.arrays[name].astype(np.float16), kept
        )
        return self.node("Cast", kept, out=name, to=TensorProto.FLOAT)

    def node(self, kind: str, *inputs: str, out: str = "", **settings: Any) -> str:
        self._count += 1
        out = out or f"x{self._count}"
        self.nodes.append(helper.make_node(kind, list(inputs), [out], **settings))
        return out

    def conv(self, x: str, name: str, **settings: Any) -> str:
        weight, bias = self.weight(f"{name}.weight"), self.weight(f"{name}.bias")
        return self.node("Conv", x, weight, bias, **settings)

    def block(self, x: str, index: int, dilation: int) -> str:
        name = f"block{index}"
        channels, _, taps = self.arrays[f"{name}.depthwise.weight"].shape
        reach = dilation * (taps // 2)
        y = self.conv(
            x, f"{name}.depthwise",
            group=channels, dilations=[dilation], pads=[reach, reach],
        )  # fmt: skip
        y = self.conv(self.node("Relu", y), f"{name}.pointwise", group=self.twins)
        gate = self.node("ReduceMean", y, axes=[2], keepdims=1)
        gate = self.conv(gate, f"{name}.squeeze", group=self.twins)
        gate = self.conv(self.node("Relu", gate), f"{name}.excite", group=self.twins)
        gate = self.node("Sigmoid", gate)
        total = self.node("Add", x, self.node("Mul", y, gate))
        return self.node("Relu", total)


def graph_of(arrays: Mapping[str, NDArray[np.float32]]) -> onnx.ModelProto:
    """Build the graph: "mel" (1, BANDS, time) to "pooled" and "phones".

    Args:
        arrays: of `net.export_arrays`.

    Returns:
        Outputs "pooled", shape (1, 2 * width), and "phones", log
        probabilities, shape (1, time // 2, symbols).
    """
    at = _Writer(arrays)
    one = at.constant("one", np.array([1], dtype=np.int64))
    mel = at.node("Unsqueeze", "mel", one)
    heard = at.node("Concat", *[mel] * at.twins, axis=1)
    x = at.conv(heard, "first", strides=[2, 1], pads=[1, 1, 1, 1], group=at.twins)
    channels = arrays["first.weight"].shape[0]
    shape = np.array([1, channels * BANDS // 2, -1], dtype=np.int64)
    x = at.node("Reshape", at.node("Relu", x), at.constant("flat", shape))
    x = at.node("Relu", at.conv(x, "mix", group=at.twins))
    halved, phones_after = (
        int(arrays[name].item()) for name in ("halved_after", "phones_after")
    )
    for index, dilation in enumerate(arrays["dilations"]):
        if index == halved:
            x = at.node("AveragePool", x, kernel_shape=[2], strides=[2])
        x = at.block(x, index, int(dilation))
        if index + 1 == phones_after:
            spoken = at.node("Transpose", at.conv(x, "phones"), perm=[0, 2, 1])
            at.node("LogSoftmax", spoken, out="phones", axis=2)
    # each twin's mean and maximum stand together, as its last layer takes them
    of_each = np.array([1, at.twins, arrays["mix.bias"].size // at.twins, -1])
    x = at.node("Reshape", x, at.constant("of_each", of_each.astype(np.int64)))
    mean = at.node("ReduceMean", x, axes=[3], keepdims=0)
    most = at.node("ReduceMax", x, axes=[3], keepdims=0)
    pooled = at.node("Concat", mean, most, axis=2)
    at.node("Flatten", pooled, out="pooled", axis=1)
    width = 2 * arrays["mix.bias"].size
    symbols = arrays["phones.bias"].size
    value = helper.make_tensor_value_info
    graph = helper.make_graph(
        at.nodes,
        "voicecheck command words",
        [value("mel", TensorProto.FLOAT, [1, BANDS, "time"])],
        [
            value("pooled", TensorProto.FLOAT, [1, width]),
            value("phones", TensorProto.FLOAT, [1, "steps", symbols]),
        ],
        list(at.weights.values()),
    )
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", OPSET)])
    model.ir_version = 8
    onnx.checker.check_model(model)
    return model
