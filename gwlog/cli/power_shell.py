"""Completion for PowerShell, which click does not know: the script, and how it hands over what is typed."""

from __future__ import annotations

import os
from typing import ClassVar

from click.shell_completion import CompletionItem, ShellComplete, add_completion_class

SCRIPT = """\
Register-ArgumentCompleter -Native -CommandName %(prog_name)s -ScriptBlock {
    param($begun, $line, $cursor)
    $words = $line.CommandElements | Where-Object { $_.Extent.StartOffset -lt $cursor } | ForEach-Object {
        if ($_.PSObject.Properties['Value']) { $_.Value } else { $_.Extent.Text }
    }
    $before = [Console]::OutputEncoding
    $env:PYTHONIOENCODING = 'utf-8'
    $env:COMP_WORDS = $words -join "`n"
    $env:COMP_BEGUN = $begun.Trim("'", '"')
    $env:%(complete_var)s = 'powershell_complete'
    try {
        [Console]::OutputEncoding = [System.Text.Encoding]::UTF8
        %(prog_name)s | ForEach-Object {
            [System.Management.Automation.CompletionResult]::new($_, $_.Trim("'"), 'ParameterValue', $_)
        }
    } finally {
        [Console]::OutputEncoding = $before
        Remove-Item Env:%(complete_var)s, Env:COMP_WORDS, Env:COMP_BEGUN, Env:PYTHONIOENCODING
    }
}
"""


class PowerShellComplete(ShellComplete):
    """One word a line; the words on the line come one a line too, as blanks may stand in them."""

    name: ClassVar[str] = "powershell"
    source_template: ClassVar[str] = SCRIPT

    def get_completion_args(self) -> tuple[list[str], str]:
        """The whole words before the one that is being typed, and the beginning of that one."""
        begun = os.environ.get("COMP_BEGUN", "")
        words = os.environ.get("COMP_WORDS", "").split("\n")[1:]
        return (words[:-1] if begun and words else words), begun

    def format_completion(self, item: CompletionItem) -> str:
        return str(item.value)


add_completion_class(PowerShellComplete)
