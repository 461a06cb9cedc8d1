"""The quick convolution equals PyTorch's, forwards and backwards."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

pytest.importorskip("torch", reason="training needs PyTorch, using does not")
pytest.importorskip("triton", reason="its kernels need Triton")

COMPARE = """
import torch
from voicecheck.bench.training.depthwise import Depthwise, _Convolution
torch.manual_seed(0)
for dilation, steps, taps in ((1, 37, 9), (4, 50, 9), (2, 64, 5)):
    layer = Depthwise(6, taps, dilation)
    one = torch.randn(5, 6, steps, requires_grad=True)
    two = one.detach().clone().requires_grad_()
    expected = layer(one)
    slope = torch.randn_like(expected)
    expected.backward(slope)
    of_weight, layer.weight.grad = layer.weight.grad, None
    found = _Convolution.apply(two, layer.weight, dilation)
    found.backward(slope)
    torch.testing.assert_close(found, expected)
    torch.testing.assert_close(two.grad, one.grad)
    torch.testing.assert_close(layer.weight.grad, of_weight, rtol=1e-4, atol=1e-4)
print("equal")
"""


def test_kernels_equal_pytorch() -> None:
    """Run by Triton's interpreter: no graphics processor is needed."""
    done = subprocess.run(
        [sys.executable, "-c", COMPARE],
        env={**os.environ, "TRITON_INTERPRET": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip() == "equal", done.stderr
