"""``kitreckon completion``: a completion script for the shell, made from the parser."""

from __future__ import annotations

import argparse
from argparse import Namespace
from collections.abc import Iterable

SHELLS = ("bash", "zsh", "fish")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("shell", choices=SHELLS, help="the shell to write for")


def run(options: Namespace) -> int:
    """Print the script."""
    from kitreckon.commands.arguments import COMMANDS, build_parser

    print(script(options.shell, build_parser(COMMANDS)), end="")
    return 0


def script(shell: str, parser: argparse.ArgumentParser) -> str:
    """Return the completion script of one shell for the whole parser."""
    from kitreckon.commands.arguments import subparsers

    commands = subparsers(parser)
    if shell == "fish":
        return _fish(parser, commands)
    # zsh reads bash's own completion through bashcompinit
    head = "autoload -U +X bashcompinit && bashcompinit\n" if shell == "zsh" else ""
    return head + _bash(parser, commands)


def words(parser: argparse.ArgumentParser) -> list[str]:
    """Return what can be typed in a command: its options and fixed words."""
    found: list[str] = []
    for action in parser._actions:
        found += action.option_strings
        if action.choices and not action.option_strings:
            found += [str(choice) for choice in action.choices]
    return found


def values(parsers: Iterable[argparse.ArgumentParser]) -> dict[str, list[str]]:
    """Return the fixed words that may follow an option; options of one name take the same."""
    return {
        option: [str(choice) for choice in action.choices]
        for parser in parsers
        for action in parser._actions
        for option in action.option_strings
        if action.choices
    }


def _bash(parser: argparse.ArgumentParser, commands: dict[str, argparse.ArgumentParser]) -> str:
    cases = "\n".join(
        f'        {name}) words="{" ".join(words(command))}" ;;'
        for name, command in commands.items()
    )
    after = "\n".join(
        f'        {option}) words="{" ".join(choices)}" ;;'
        for option, choices in values(commands.values()).items()
    )
    with_value = "|".join(
        option
        for action in parser._actions
        for option in action.option_strings
        if action.metavar is not None
    )
    return f"""# completion for kitreckon; load it with: eval "$(kitreckon completion bash)"
_kitreckon() {{
    local word="${{COMP_WORDS[COMP_CWORD]}}" before="${{COMP_WORDS[COMP_CWORD-1]}}"
    local command="" words at=1
    while [ "$at" -lt "$COMP_CWORD" ] && [ -z "$command" ]; do
        case "${{COMP_WORDS[at]}}" in
            {with_value}) at=$((at + 1)) ;;
            -*) ;;
            *) command="${{COMP_WORDS[at]}}" ;;
        esac
        at=$((at + 1))
    done
    case "$command" in
{cases}
        *) words="{" ".join([*commands, *words_of_options(parser)])}" ;;
    esac
    case "$before" in
{after}
    esac
    COMPREPLY=($(compgen -W "$words" -- "$word"))
    local IFS=$'\\n'  # names of files may have blanks
    COMPREPLY+=($(compgen -f -- "$word"))
}}
complete -o filenames -F _kitreckon kitreckon
"""


def words_of_options(parser: argparse.ArgumentParser) -> list[str]:
    """Return the options of a parser."""
    return [option for action in parser._actions for option in action.option_strings]


def _fish(parser: argparse.ArgumentParser, commands: dict[str, argparse.ArgumentParser]) -> str:
    from kitreckon.commands.arguments import COMMANDS

    lines = ["# completion for kitreckon; load it with: kitreckon completion fish | source"]
    for name in commands:
        about = COMMANDS[name].replace("'", "")
        lines.append(f"complete -c kitreckon -n __fish_use_subcommand -a {name} -d '{about}'")
    fixed = values(commands.values())
    for name, command in commands.items():
        for word in words(command):
            kind = f"-l {word[2:]}" if word.startswith("--") else f"-a '{word}'"
            if word.startswith("-") and not word.startswith("--"):
                kind = f"-s {word[1:]}"
            if word in fixed:
                kind += f" -x -a '{' '.join(fixed[word])}'"
            lines.append(f"complete -c kitreckon -n '__fish_seen_subcommand_from {name}' {kind}")
    lines += [
        f"complete -c kitreckon -n __fish_use_subcommand -l {word[2:]}"
        for word in words_of_options(parser)
        if word.startswith("--")
    ]
    return "\n".join(lines) + "\n"
