"""Programs of the npm registry, pinned by tests/node/package-lock.json and installed into a temporary folder."""

import shutil
import subprocess
from pathlib import Path

from program import needed
from waiting import RUN_S

PINNED = Path(__file__).parent / "node"
INSTALL = ("ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error")


def installed(folder: Path) -> Path:
    """The folder with all of them installed; nothing that they bring runs while they are."""
    npm = needed("npm")
    needed("node")
    for name in ("package.json", "package-lock.json"):
        shutil.copy(PINNED / name, folder)
    run([str(npm), *INSTALL], folder=folder)
    return folder


def run(command: list[str], *, folder: Path, code: int = 0) -> str:
    """What a command prints, which must end with this code; a name without a slash is looked up as npm does."""
    local = folder / "node_modules" / ".bin" / command[0]
    program = str(local) if local.exists() else command[0]
    done = subprocess.run(
        [program, *command[1:]], cwd=folder, capture_output=True, encoding="utf-8", timeout=RUN_S, check=False
    )
    assert done.returncode == code, f"{command}: {done.returncode}\n{done.stdout}{done.stderr}"
    return done.stdout + done.stderr
