"""Paper: cards, sheets of cards and the printed manual, set by Typst.

Each writer is a pure function from a manual and its edition's state to bytes and findings. What
is printed goes to Typst as data, never as source, so that no text of an author becomes markup.

    sizes       the faces that a card can have (`sizes.toml`)
    inked       phrases as Typst reads them, with the identity of each figure as a link
    blocks      what a card shows, piece by piece
    cards       one card, in exactly its size
    sheets      all cards of a manual on A4, for cutting
    tree        the manual's Markdown pages as a tree
    manual      the printed manual
    typesetter  the one warm compiler, and what it refuses
    faults      what it refuses as findings
"""
