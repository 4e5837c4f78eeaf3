import subprocess
import sys
from collections import Counter

import tutor.quantities
from tutor.quantities import units


def test_every_public_name_exists_and_is_named_once() -> None:
    for module in (tutor.quantities, units):
        assert max(Counter(module.__all__).values()) == 1
        for name in module.__all__:
            assert getattr(module, name) is not None


def test_it_loads_nothing_but_the_standard_library() -> None:
    code = (
        "import sys, tutor.quantities\n"
        "known = set(sys.stdlib_module_names) | {'tutor', '__main__'}\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules} - known))"
    )
    # -S leaves out site-packages, whose start-up files may load modules of their own.
    paths = f"import sys; sys.path[:] = {sys.path!r}\n"
    shown = subprocess.run(
        [sys.executable, "-S", "-c", paths + code], capture_output=True, text=True, check=True
    ).stdout
    assert shown.strip() == "[]"
