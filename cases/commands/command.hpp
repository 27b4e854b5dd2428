#pragma once
// What a command is: its options as data, and what is done once they are known. The library that
// reads the command line is seen by main.cpp alone.

#include "cases/input/keys.hpp"

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace tiltfin {

enum ExitCode {
  fine = 0,
  cannot_write = 1,  ///< a file, or standard output
  bad_input = 2,     ///< or a request that the input cannot meet
  not_converged = 3, ///< a condition did not, or a result lies outside the model
  own_fault = 4,     ///< of the program, not of what it was asked
  interrupted = 130
};

/// Where an option's value goes; a flag is a bool.
using OptionTarget = std::variant<bool*, int*, double*, std::optional<double>*, std::string*,
                                  std::vector<double>*, std::vector<std::string>*>;

struct OptionRule {
  bool is_needed = false;
  /// Of a number, or of each; needed with every target that is one.
  std::optional<Bounds> bounds{};
  std::vector<std::string> members{};         ///< of a text, or of each; empty: any
  std::optional<std::pair<int, int>> count{}; ///< fewest and most values of a list
  bool shows_default = false;
  std::string group{}; ///< heading in the help
};

struct Option {
  std::string name; ///< "--jobs", "-o,--output", or "case" for what is told by its place
  OptionTarget target;
  std::string help;
  OptionRule rule{};
};

/// What is wrong with a word given to an option: "found 'nan', allowed a number above 0"; empty:
/// nothing. Numbers are held to their bounds, texts and paths are never empty.
[[nodiscard]] std::string fault_in_word(const Option& option, const std::string& word);

/// What a word given to it may be, in words.
[[nodiscard]] std::string allowed_by(const Option& option);

/// A command being told: options, and what is done with their values. `run` keeps the values alive.
struct CommandLine {
  std::vector<Option> options;
  std::function<int()> run; ///< its exit code
};

struct Command {
  const char* name = nullptr;
  const char* help = nullptr;
  CommandLine (*declare)() = nullptr;
};

/// All of them, in the order of the help. A command is a file of its own here and a line of this
/// table.
[[nodiscard]] std::span<const Command> commands();

} // namespace tiltfin
