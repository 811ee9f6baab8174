"""Exact reasoning on networks of tables; knows nothing of aircraft, files or terminals.

``order`` and ``plan`` make a junction tree, ``tables`` and ``propagate`` run batches of evidence through it.
``features``, ``steps``, ``pairs`` and ``gain`` rank every fault against every check in one pass, ``parts``
does so where one tree would be too large, ``rank_network`` for a plain network with roles. ``relevance`` says
what a question needs, ``conflict`` how surprising findings are together, ``hitting`` which sets explain all
contradictions. ``brute`` enumerates small networks: the oracle of the tests.
"""
