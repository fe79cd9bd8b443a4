"""All threads of a process share one heap, where the C library can say how many there are."""

import ctypes
import subprocess
import sys

import pytest

THREADS = """
import ctypes, threading
from bot.commandline.heap import share_one_heap
{first}
all_there = threading.Barrier(8)
def work():
    all_there.wait()
    kept = [bytearray(2000) for _ in range(2000)]
    all_there.wait()
threads = [threading.Thread(target=work) for _ in range(8)]
for each in threads: each.start()
for each in threads: each.join()
ctypes.CDLL(None).malloc_stats()
"""


def _heaps(first: str) -> int:
    code = THREADS.format(first=first)
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    return ran.stderr.count("Arena ")


@pytest.mark.skipif(not hasattr(ctypes.CDLL(None), "malloc_stats"), reason="another C library")
def test_threads_share_one_heap() -> None:
    assert _heaps("share_one_heap()") == 1
    assert _heaps("pass") > 1
