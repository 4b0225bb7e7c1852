"""Compiled functions kept as machine code in the user's cache folder: a run loads them without loading the compiler.

A file is named by what it depends on (the sources of its module and of those it takes functions from, the processor, the
compiler's version), written whole under another name first and checked by its digest when read: two runs at once or one that
is killed leave nothing half made, and the folder may be deleted at any time.  XDG_CACHE_HOME moves it.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import re
from contextlib import suppress
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from heatcalc.errors import NoAnswer
from heatcalc.files import write_whole

_ENGINES: list[Any] = []  # loaded code lives as long as its engine
# What numba's code names for errors and arrays of its own; functions here raise nothing and own nothing, so none is called
_UNUSED = "NRT_Free NRT_MemInfo_call_dtor numba_do_raise numba_gil_ensure numba_gil_release numba_runtime_build_excinfo_struct"
_nothing = ctypes.CFUNCTYPE(None)(lambda: None)


@cache
def machine_code(module: str, name: str) -> Any:
    """The numba `cfunc` `name` of `module` as a ctypes function of pointers and integers (a float goes in an array)."""
    from llvmlite import __version__, binding

    spec = find_spec(module)
    assert spec is not None and spec.origin is not None
    source = Path(spec.origin).read_text(encoding="utf-8")
    parts = (source, *_rules(source), name, __version__, binding.get_process_triple())
    features = (binding.get_host_cpu_name(), binding.get_host_cpu_features().flatten())
    file = _folder() / f"{hashlib.sha256(repr((*parts, *features)).encode()).hexdigest()[:32]}.bin"
    symbol, code = _kept(file) or _compiled(file, module, name)
    return ctypes.CFUNCTYPE(None, ctypes.c_void_p, ctypes.c_void_p)(_loaded(symbol, code))


def _rules(source: str) -> list[str]:
    """The sources of the package's own modules that a compiled module takes functions from."""
    specs = [find_spec(name) for name in re.findall(r"^from (heatcalc\.[\w.]+) import", source, re.MULTILINE)]
    return [Path(s.origin).read_text(encoding="utf-8") for s in specs if s and s.origin]


def _loaded(symbol: str, code: bytes) -> int:
    """Address of a function of an object file."""
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    for name in (*_UNUSED.split(), "numba_unpickle"):
        if not binding.address_of_symbol(name):
            binding.add_symbol(name, ctypes.cast(_nothing, ctypes.c_void_p).value)
    machine = binding.Target.from_default_triple().create_target_machine(jit=True)
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    engine.add_object_file(binding.ObjectFileRef.from_data(code))
    engine.finalize_object()
    _ENGINES.append(engine)
    return int(engine.get_function_address(symbol))


def _folder() -> Path:
    own = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(own) if own else Path("~/.cache").expanduser()) / "heatcalc"


def _kept(file: Path) -> tuple[str, bytes] | None:
    """Name in the object file, and the file; None where it is not there or not whole."""
    with suppress(OSError, ValueError):
        digest, content = file.read_bytes().split(b"\n", 1)
        if hashlib.sha256(content).hexdigest().encode() == digest:
            symbol, code = content.split(b"\n", 1)
            return symbol.decode(), code
    return None


def _compiled(file: Path, module: str, name: str) -> tuple[str, bytes]:
    """The same, compiled now; kept where the folder can be written and where a new process can load it."""
    import subprocess
    import sys

    function = getattr(import_module(module), name)
    symbol, (_, _, (code, _)) = function.native_name, function._library.serialize_using_object_code()
    content = symbol.encode() + b"\n" + code
    with suppress(NoAnswer, OSError):
        write_whole(file, hashlib.sha256(content).hexdigest().encode() + b"\n" + content)
        tried = f"from pathlib import Path; from heatcalc import machine_code as m; m._loaded(*m._kept(Path({str(file)!r})))"
        if subprocess.run([sys.executable, "-c", tried], capture_output=True, check=False).returncode:
            file.unlink()
    return symbol, code
