"""Sentences of a text, and those that are too long to be read once: over 25 words, or paragraphs over 90."""

import re

MOST_WORDS_OF_A_SENTENCE, MOST_WORDS_OF_A_PARAGRAPH = 25, 90


def paragraphs(text):
    """Yield paragraphs of prose: without code, tables, examples, headings and drawings; list items on their own."""
    text = re.sub(r"```.*?```", "", text, flags=re.DOTALL)
    for block in re.split(r"\n\s*\n|\n(?=\s*(?:[-*#|] |\d\. ))", text):
        block = re.split(r"\n\s*>>> ", block)[0].strip()
        drawing = "──" in block or re.search(r"\S {4,}\S", block) or block.startswith(("|", "::", ">>>", "#"))
        underlined = "\n---" in block  # a section of a docstring: names and types of arguments, not prose
        if block and not drawing and not underlined:
            yield block


def sentences(paragraph):
    """Yield sentences of a paragraph, parts at semicolons and colons apart; a formula is not counted."""
    for sentence in re.split(r"(?<=[.?!:;])\s+", paragraph):
        if not re.search(r"\s[=/+]\s|\^", sentence):
            yield sentence


def too_long(text):
    """Return what is too long in a text, in its first words."""
    long = []
    for paragraph in paragraphs(text):
        if len(paragraph.split()) > MOST_WORDS_OF_A_PARAGRAPH:
            long.append(f"paragraph: {paragraph[:70]}")
        long += [
            f"sentence: {sentence[:70]}"
            for sentence in sentences(paragraph)
            if len(sentence.split()) > MOST_WORDS_OF_A_SENTENCE
        ]
    return long
