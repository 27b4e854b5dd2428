// The command line. The commands are the files beside this one; the exit codes are in command.hpp.

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/faults.hpp"
#include "cases/commands/processor.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/input/input_error.hpp"
#include "post/text/printable.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cstdio>
#include <exception>
#include <string>
#include <type_traits>
#include <variant>
#include <vector>

namespace {

using namespace tiltfin;

constexpr const char* exit_codes =
    "Exit codes: 0 fine; 1 a file or the output cannot be written; 2 wrong input, or a request "
    "that it cannot "
    "meet; 3 a condition did not converge, or a result lies outside the model; 4 a fault of the "
    "program itself; 130 interrupted.";

void add_option(CLI::App& app, const Option& option) {
  const auto add = [&](auto* target) {
    if constexpr (std::is_same_v<decltype(target), bool*>) {
      return app.add_flag(option.name, *target, option.help);
    } else {
      return app.add_option(option.name, *target, option.help);
    }
  };
  CLI::Option& added = *std::visit(add, option.target);
  const OptionRule& rule = option.rule;
  added.required(rule.is_needed);
  if (!std::holds_alternative<bool*>(option.target)) {
    // No description: CLI11 would put it into the help beside that of the option.
    added.check([option](const std::string& word) { return fault_in_word(option, word); }, "");
  }
  if (rule.count) {
    added.expected(rule.count->first, rule.count->second);
  }
  if (rule.shows_default) {
    added.capture_default_str();
  }
  if (!rule.group.empty()) {
    added.group(rule.group);
  }
}

/// Messages quote what they found: printable, and cut where nobody reads on.
std::string shown(const std::string& message) {
  constexpr std::size_t longest = 4000;
  const bool is_long = message.size() > longest;
  return printable(message.substr(0, longest)) + (is_long ? " ..." : "");
}

std::string known_words() {
  std::string words;
  for (const Command& command : commands()) {
    words += fmt::format("{}, ", command.name);
  }
  return words + "--version, --help";
}

/// "--jobs" of "-j,--jobs".
std::string long_name(const Option& option) {
  return option.name.substr(option.name.rfind(',') + 1); // npos + 1 is 0
}

template <class Kind>
bool is_a(const CLI::ParseError& error) {
  return dynamic_cast<const Kind*>(&error) != nullptr;
}

/// What is wrong with an option, where the parser speaks of this one; "" where it does not.
std::string fault_of_option(const CLI::ParseError& error, const Option& option) {
  const std::string said = error.what();
  const std::string name = long_name(option);
  if (is_a<CLI::RequiredError>(error) && said.starts_with(name + " ")) {
    return fmt::format("{}: found nothing, allowed {} ({})", name, allowed_by(option), option.help);
  }
  if (is_a<CLI::ArgumentMismatch>(error) && said.starts_with(name + ":")) {
    if (said.find("At Most") == std::string::npos) {
      return fmt::format("{}: found no value, allowed {}", name, allowed_by(option));
    }
    const int most = option.rule.count ? option.rule.count->second : 1;
    return fmt::format("{}: found {} values, allowed {}", name, said.substr(said.rfind(' ') + 1),
                       most == 1 ? "one, once" : fmt::format("{} at most", most));
  }
  return "";
}

/// What the parser found, as every refusal is told: the option, what was found, what is allowed.
std::string in_own_words(const CLI::ParseError& error, const CLI::App& parser,
                         const CommandLine& line) {
  if (is_a<CLI::ExtrasError>(error)) {
    std::vector<std::string> names;
    for (const Option& option : line.options) {
      names.push_back(long_name(option));
    }
    return fmt::format("{}: found '{}', allowed {}", parser.get_name(),
                       fmt::join(parser.remaining(), "', '"), fmt::join(names, ", "));
  }
  for (const Option& option : line.options) {
    std::string fault = fault_of_option(error, option);
    if (!fault.empty()) {
      return fault;
    }
  }
  return error.what(); // a fault of a word: fault_in_word has put it so
}

/// Throws InputError for words that cannot be shown.
void check_words(int argc, char** argv) {
  for (int k = 1; k < argc; ++k) {
    if (!is_printable(argv[k])) {
      throw InputError(fmt::format("found '{}' on the command line, allowed text in UTF-8 without "
                                   "control characters",
                                   printable(argv[k])));
    }
  }
}

/// Throws InputError with what the parser found, of the command that was given.
[[noreturn]] void refuse(const CLI::ParseError& error, const std::vector<CLI::App*>& parsers,
                         const std::vector<CommandLine>& lines) {
  for (std::size_t k = 0; k < parsers.size(); ++k) {
    if (parsers[k]->parsed()) {
      throw InputError(in_own_words(error, *parsers[k], lines[k]));
    }
  }
  throw InputError(fmt::format("found no command, allowed {}", known_words()));
}

int run(int argc, char** argv) {
  CLI::App app("How well a finned, fanless cooler works when the machine is turned.", "tiltfin");
  app.set_version_flag(
      "--version",
      fmt::format("tiltfin " TILTFIN_VERSION " (" TILTFIN_BUILD ", for {})", compiled_for()));
  app.require_subcommand(1);
  app.footer(exit_codes);
  std::vector<CommandLine> lines; // as many as commands: their options' places stay
  std::vector<CLI::App*> parsers;
  for (const Command& command : commands()) {
    lines.push_back(command.declare());
    parsers.push_back(app.add_subcommand(command.name, command.help));
    for (const Option& option : lines.back().options) {
      add_option(*parsers.back(), option);
    }
  }
  check_words(argc, argv);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (app.get_subcommands().empty() && !app.remaining().empty()) {
      print_error(
          fmt::format("tiltfin: found {}, allowed {}\n", app.remaining().front(), known_words()));
      return bad_input;
    }
    if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
      return app.exit(error) == 0 ? fine : bad_input; // help and version
    }
    refuse(error, parsers, lines);
  }
  for (std::size_t k = 0; k < parsers.size(); ++k) {
    if (parsers[k]->parsed()) {
      return lines[k].run();
    }
  }
  return bad_input; // not reached: one command is required
}

} // namespace

int main(int argc, char** argv) {
  int code = fine;
  const auto tell = [&code](const std::exception_ptr& thrown) {
    int its_code = cannot_write;
    try {
      const Fault fault = fault_of(thrown);
      its_code = fault.code;
      print_error("tiltfin: " + shown(fault.message) + "\n");
    } catch (...) { // not even memory to say it with
      std::fputs("tiltfin: memory ran out\n", stderr);
    }
    code = code == fine ? its_code : code; // the first one stays
  };
  hand_over(argv);
  guard_streams();
  end_with_a_message();
  try {
    code = run(argc, argv);
  } catch (...) {
    tell(std::current_exception());
  }
  try {
    check_output();
  } catch (...) {
    tell(std::current_exception());
  }
  return code;
}
