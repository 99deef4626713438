"""The decision tree: the policy behind `diag ask`, compiled for paper.

`compile_tree` walks `walk.next_step` down every answer that is likely enough; there is no second policy.
"""

from diag.tree.compiling import compile_tree
from diag.tree.model import Advice, Branch, Leaf, Look, Node, Tree

__all__ = ["Advice", "Branch", "Leaf", "Look", "Node", "Tree", "compile_tree"]
