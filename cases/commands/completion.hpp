#pragma once
// What a shell needs to complete a command line: written from the table of commands and their
// options, so that it knows what the program knows.

#include "cases/commands/command.hpp"

#include <span>
#include <string>

namespace tiltfin {

/// A script for bash's `complete`: commands, options, words that an option may be, else files.
[[nodiscard]] std::string bash_completion(std::span<const Command> commands);

/// The same for zsh's completion system, with what each means.
[[nodiscard]] std::string zsh_completion(std::span<const Command> commands);

} // namespace tiltfin
