"""The house rules that no linter has: each takes a parsed file and gives its offences.

An offence is "file:line what is wrong"; a file that keeps the rule gives an empty list.
"""

import ast

from tests.house.tree import Source, dotted

LONGEST_FILE = 400
MOST_METHODS = 10
# Tables of data may be longer: path from the root -> why it is a table.
TABLES: dict[str, str] = {}

UNSAFE_MODULES = {"pickle", "cPickle", "dill", "cloudpickle", "shelve", "marshal", "joblib"}
UNSAFE_CALLS = {
    "eval",
    "exec",
    "compile",
    "__import__",
    "builtins.eval",
    "builtins.exec",
    "os.system",
    "os.popen",
    "yaml.load",
    "yaml.unsafe_load",
}
UNSAFE_ENDINGS = ("read_pickle", "to_pickle")
# Setting one of these in a library changes what every caller's numbers do.
MODE_CALLS = {
    "np.seterr",
    "numpy.seterr",
    "np.random.seed",
    "numpy.random.seed",
    "random.seed",
    "warnings.simplefilter",
    "warnings.filterwarnings",
    "locale.setlocale",
    "os.chdir",
    "np.set_printoptions",
    "numpy.set_printoptions",
}
# A BLAS product's last bit depends on how many rows go through it at once.
BLAS_ENDINGS = {"dot", "vdot", "inner", "matmul", "tensordot", "multi_dot"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def too_long(source: Source) -> list[str]:
    """A file is read in one sitting."""
    lines = len(source.text.splitlines())
    if lines <= LONGEST_FILE or source.name in TABLES:
        return []
    return [f"{source.name}:{lines} lines, at most {LONGEST_FILE}"]


def too_many_methods(source: Source) -> list[str]:
    """A class with more public methods than this has more than one idea."""
    found = []
    for node in source.nodes:
        if isinstance(node, ast.ClassDef):
            public = [f for f in node.body if isinstance(f, Function) and _public(f.name)]
            if len(public) > MOST_METHODS:
                found.append(f"{source.name}:{node.lineno} {node.name}: {len(public)} methods")
    return found


def unsafe(source: Source) -> list[str]:
    """What is read from a study folder is data and is never run."""
    found = [
        f"{source.name}:{line} imports {name}"
        for line, name in source.imports
        if name.split(".")[0] in UNSAFE_MODULES
    ]
    found += [
        f"{source.name}:{line} calls {name}"
        for line, name in source.calls
        if name in UNSAFE_CALLS or name.split(".")[-1] in UNSAFE_ENDINGS
    ]
    return found + [
        f"{source.name}:{node.value.lineno} allow_pickle"
        for node in source.nodes
        if isinstance(node, ast.keyword)
        and node.arg == "allow_pickle"
        and not (isinstance(node.value, ast.Constant) and node.value.value is False)
    ]


def prints(source: Source) -> list[str]:
    """Only the command line writes to the terminal."""
    if source.module == "explorer.cli":
        return []
    loud = {"print", "sys.stdout.write", "sys.stderr.write"}
    return [f"{source.name}:{line} {name}" for line, name in source.calls if name in loud]


def sets_modes(source: Source) -> list[str]:
    """No function changes how the rest of the process computes or warns."""
    return [f"{source.name}:{line} {name}" for line, name in source.calls if name in MODE_CALLS]


def undocumented(source: Source) -> list[str]:
    """Every module, and every public function and method in it, says what it does."""
    found = [] if ast.get_docstring(source.tree) else [f"{source.name}:1 module"]
    for owner in [source.tree, *_public_classes(source.tree)]:
        for node in owner.body:
            if isinstance(node, Function) and _public(node.name) and not ast.get_docstring(node):
                found += [f"{source.name}:{node.lineno} {node.name}"]
    return found


def uses_blas(source: Source) -> list[str]:
    """Scores are the same bits for one drive as for a thousand."""
    found = [
        f"{source.name}:{node.lineno} @"
        for node in source.nodes
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult)
    ]
    return found + [
        f"{source.name}:{line} {name or 'a method'}"
        for line, name in _calls_by_last_word(source)
        if name in BLAS_ENDINGS
    ]


def cannot_fail(source: Source) -> list[str]:
    """A test checks something: an assert, an expected error, or a helper named for checking."""
    return [
        f"{source.name}:{node.lineno} {node.name}"
        for node in source.nodes
        if isinstance(node, Function) and node.name.startswith("test_") and not _checks(node)
    ]


def _checks(test: Function) -> bool:
    """Whether a test holds an assert that can be false, or a call that checks."""
    for node in ast.walk(test):
        if isinstance(node, ast.Assert) and not isinstance(node.test, ast.Constant):
            return True
        if isinstance(node, ast.Call):
            last = dotted(node.func).split(".")[-1]
            if last in {"raises", "warns", "fail"} or last.startswith(("assert_", "check_")):
                return True
    return False


def _calls_by_last_word(source: Source) -> list[tuple[int, str]]:
    """Line and last word of every call, also of a method of an expression."""
    found = []
    for node in source.nodes:
        if isinstance(node, ast.Call):
            func = node.func
            last = func.attr if isinstance(func, ast.Attribute) else dotted(func)
            found.append((node.lineno, last))
    return found


def _public_classes(tree: ast.Module) -> list[ast.ClassDef]:
    return [n for n in tree.body if isinstance(n, ast.ClassDef) and _public(n.name)]


def _public(name: str) -> bool:
    return not name.startswith("_")
