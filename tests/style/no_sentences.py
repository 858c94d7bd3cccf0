#!/usr/bin/env python3
"""Fails where a string literal in a library holds English that is not an exception's message.

Facts leave scan/ and solver/, never sentences: tools/report makes the words. A literal is English if two words
follow each other in it, or if it begins or ends in the middle of a sentence ("... of the " + x). It is allowed
  - within the arguments of what throws: throw, require(), fail(), fail_...(), reject(), InputError(), BadUse();
  - in a constant or function of EXCEPTION_PARTS, which makes a part of such a message;
  - in a table of NAMES: proper names and citations, as published.
Usage: no_sentences.py TREE
"""
import pathlib
import re
import sys

ROOMS = ['scan', 'solver', 'tools/job']
THROWS = re.compile(r'(?:^|\W)(?:throw|(?:\w+[.:>]+)?(?:require|fail|reject)\w*|InputError|BadUse|BadFile)\s*$')
EXCEPTION_PARTS = {
    'scan/depth/camera.cpp': ['kAdvice', 'size'],
    'scan/depth/poses.cpp': ['place'],
    'scan/model/limits.cpp': ['text'],
    'scan/model/limits.hpp': ['person_unit', 'field'],
    'scan/model/log_model.cpp': ['find_error', 'find_station_error'],
    'scan/model/shrinkage.cpp': ['require_within'],
    'scan/read/foreign.cpp': ['kMagics', 'recognise_archive', 'usdz'],
    'scan/read/mesh/gltf_material.cpp': ['name'],
    'scan/read/text.cpp': ['where'],
    'solver/allocate/allocate.cpp': ['whose'],
    'solver/allocate/order.cpp': ['whole_range_fault', 'fault_of'],
    'solver/allocate/order_file.cpp': ['what_'],
    'solver/plan/board_size.cpp': ['message'],
    'solver/plan/plan.cpp': ['check_limits'],
    'solver/setup/kit.cpp': ['range_fault', 'support_fault', 'order_fault', 'extras_fault', 'missing'],
    'solver/setup/kit_file.cpp': ['text'],
    'solver/setup/marks.cpp': ['advice', 'outside'],
    'tools/job/option_values.cpp': ['require_within'],
}
NAMES = ['scan/model/species_table.cpp', 'scan/model/shrinkage.cpp']

ENGLISH = re.compile(r"[A-Za-z]{2,}[,;:.)']*\s+[(']*[A-Za-z]{2,}")
OPEN_END = re.compile(r"^[A-Za-z]{2,}\s$|[a-z]\s[a-z]{2,}\s$|^[,;:.]?\s[a-z]{2,}")
TOKEN = re.compile(r'''//[^\n]*|/\*.*?\*/|^[ \t]*\#[^\n]*(?:\\\n[^\n]*)*|R"(\w*)\((?:.*?)\)\1"|"(?:[^"\\\n]|\\.)*"'''
                   r"""|'(?:[^'\\\n]|\\.)+'|[{}()\[\];]""", re.S | re.M)


def literals(text):
    """Each literal with its place, what stands before every bracket that is open there, and its statement."""
    open_brackets = []  # (bracket, place)
    statement = 0
    for token in TOKEN.finditer(text):
        word = token.group()
        if word in '([{':
            open_brackets.append((word, token.start(), statement))
        elif word in ')]}' and open_brackets:
            open_brackets.pop()
        if word in '{};':
            statement = token.end()
        if word[0] in '"R' and word.endswith('"'):
            yield word, token.start(), open_brackets[:], text[statement:token.start()]


def is_thrown(text, open_brackets, statement):
    return (re.search(r'(?:^|\W)throw\W', statement) is not None or
            any(THROWS.search(text[:place].rstrip()[-60:]) for bracket, place, _ in open_brackets if bracket in '({'))


def is_part(parts, text, open_brackets, statement):
    heads = [statement] + [text[begin:place] for _, place, begin in open_brackets]
    return any(re.search(r'\b' + part + r'\b', head) for part in parts for head in heads)


def sentences(tree):
    for room in ROOMS:
        for file in sorted((tree / room).rglob('*.[ch]pp')):
            name = file.relative_to(tree).as_posix()
            text = file.read_text()
            for literal, place, open_brackets, statement in literals(text):
                if not (ENGLISH.search(literal[1:-1]) or OPEN_END.search(literal[1:-1])):
                    continue
                if (name in NAMES or is_thrown(text, open_brackets, statement) or
                        is_part(EXCEPTION_PARTS.get(name, []), text, open_brackets, statement)):
                    continue
                yield f'{name}:{text.count(chr(10), 0, place) + 1}: {literal}'


def main():
    found = list(sentences(pathlib.Path(sys.argv[1])))
    for sentence in found:
        print(sentence)
    if found:
        sys.exit(f'{len(found)} English phrases in {" and ".join(ROOMS)}: tell a fact (scan/model/scan_facts.hpp, '
                 'tools/job/facts.hpp) and put its words into tools/report')


if __name__ == '__main__':
    main()
