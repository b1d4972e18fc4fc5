"""A server in a process of its own on a free port of this machine, and how Chromium is started to look at it."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

PROGRAM = "from nextpass.cli.main import main; main()"
TOP = Path(__file__).resolve().parents[2]
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """A server that can be killed and started again on the same port."""

    def __init__(self, command):
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._command = [*command, str(self.port)]
        self._process = None

    def start(self):
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TOP), os.environ.get("PYTHONPATH", "")])}
        self._process = subprocess.Popen([sys.executable, *self._command], cwd=TOP, env=environment)
        deadline_s = time.monotonic() + 90.0
        while time.monotonic() < deadline_s:
            try:
                urllib.request.urlopen(f"{self.address}/api/cars", timeout=5).read()
            except (urllib.error.URLError, ConnectionError):
                assert self._process.poll() is None, "the server ended before it answered"
                time.sleep(0.1)
            else:
                return self
        raise AssertionError("the server never answered")

    def kill(self):
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()

    def stop(self):
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)
            self._process.wait(timeout=30)
