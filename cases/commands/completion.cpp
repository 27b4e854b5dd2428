// tiltfin completion: the words of the command line, for a shell.
#include "cases/commands/completion.hpp"

#include "cases/commands/common_options.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <memory>
#include <variant>

namespace tiltfin {
namespace {

bool is_flag(const Option& option) {
  return std::holds_alternative<bool*>(option.target);
}

bool is_told_by_place(const Option& option) {
  return !option.name.starts_with('-');
}

bool is_file(const Option& option) {
  const bool is_text = std::holds_alternative<std::string*>(option.target) ||
                       std::holds_alternative<std::vector<std::string>*>(option.target);
  return is_text && option.rule.members.empty();
}

bool is_list(const Option& option) {
  return std::holds_alternative<std::vector<std::string>*>(option.target) ||
         std::holds_alternative<std::vector<double>*>(option.target);
}

/// "-o" and "--output" of "-o,--output".
std::vector<std::string> spellings(const Option& option) {
  const std::size_t comma = option.name.find(',');
  if (comma == std::string::npos) {
    return {option.name};
  }
  return {option.name.substr(0, comma), option.name.substr(comma + 1)};
}

/// Every spelling of every option, and what always is one.
std::vector<std::string> option_words(const CommandLine& line) {
  std::vector<std::string> words;
  for (const Option& option : line.options) {
    if (!is_told_by_place(option)) {
      words.push_back(spellings(option).back());
    }
  }
  words.emplace_back("--help");
  return words;
}

/// What the shell is to offer after an option, or in a place.
std::string bash_offer(const Option& option) {
  if (!option.rule.members.empty()) {
    return fmt::format("IFS=' '; compgen -W '{}' -- \"$cur\"", fmt::join(option.rule.members, " "));
  }
  return is_file(option) ? "compgen -f -- \"$cur\"" : "";
}

/// The lines of one command in a `case` of bash.
std::string bash_command(const Command& command) {
  const CommandLine line = command.declare();
  std::string places = "compgen -f -- \"$cur\"";
  std::string text = fmt::format("    {})\n      case $prev in\n", command.name);
  for (const Option& option : line.options) {
    const std::string offer = bash_offer(option);
    if (is_told_by_place(option)) {
      places = offer;
    } else if (!is_flag(option)) {
      text +=
          fmt::format("        {}) COMPREPLY=({}); return ;;\n",
                      fmt::join(spellings(option), " | "), offer.empty() ? "" : "$(" + offer + ")");
    }
  }
  return text + fmt::format("      esac\n      options='{}'\n      places=$({}) ;;\n",
                            fmt::join(option_words(line), " "), places);
}

/// Inside single quotes of zsh, in a specification whose marks are brackets and colons.
std::string zsh_words(const std::string& text) {
  std::string words;
  for (const char c : text) {
    if (c == '\'') {
      words += "'\\''";
      continue;
    }
    if (c == '[' || c == ']' || c == ':' || c == '\\') {
      words += '\\';
    }
    words += c;
  }
  return words;
}

std::string zsh_offer(const Option& option) {
  if (!option.rule.members.empty()) {
    return fmt::format("({})", fmt::join(option.rule.members, " "));
  }
  if (!is_file(option)) {
    return " ";
  }
  return option.name == "case" ? "_files -g \"*.toml\"" : "_files";
}

std::string zsh_option(const Option& option) {
  if (is_told_by_place(option)) {
    return fmt::format("'{}:{}:{}'", is_list(option) ? "*" : "", zsh_words(option.name),
                       zsh_offer(option));
  }
  const std::vector<std::string> names = spellings(option);
  const std::string value =
      is_flag(option) ? "" : fmt::format(":{}:{}", names.back().substr(2), zsh_offer(option));
  const std::string meaning = fmt::format("[{}]{}'", zsh_words(option.help), value);
  return names.size() == 1 ? fmt::format("'{}{}", names[0], meaning)
                           : fmt::format("'({0} {1})'{{{0},{1}}}'{2}", names[0], names[1], meaning);
}

std::string zsh_command(const Command& command) {
  std::string text = fmt::format("  {})\n    _arguments", command.name);
  for (const Option& option : command.declare().options) {
    text += " \\\n      " + zsh_option(option);
  }
  return text + " \\\n      '--help[Print this help message and exit]' ;;\n";
}

std::vector<std::string> names_of(std::span<const Command> commands) {
  std::vector<std::string> names;
  for (const Command& command : commands) {
    names.emplace_back(command.name);
  }
  return names;
}

} // namespace

std::string bash_completion(std::span<const Command> commands) {
  std::string text = fmt::format(R"(# Completion of tiltfin for bash.
_tiltfin() {{
  local cur=${{COMP_WORDS[COMP_CWORD]}} prev=${{COMP_WORDS[COMP_CWORD-1]}} IFS=$'\n' options places
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(IFS=' '; compgen -W '{} --help --version' -- "$cur"))
    return
  fi
  case ${{COMP_WORDS[1]}} in
)",
                                 fmt::join(names_of(commands), " "));
  for (const Command& command : commands) {
    text += bash_command(command);
  }
  return text + R"(    *) return ;;
  esac
  case $cur in
    -*) COMPREPLY=($(IFS=' '; compgen -W "$options" -- "$cur")) ;;
    *) COMPREPLY=($places) ;;
  esac
}
complete -o filenames -F _tiltfin tiltfin
)";
}

std::string zsh_completion(std::span<const Command> commands) {
  std::string text =
      "#compdef tiltfin\n# Completion of tiltfin for zsh.\nlocal -a commands\ncommands=(\n";
  for (const Command& command : commands) {
    text += fmt::format("  '{}:{}'\n", command.name, zsh_words(command.help));
  }
  text += R"()
if (( CURRENT == 2 )); then
  _describe command commands
  return
fi
shift words
(( CURRENT-- ))
case $words[1] in
)";
  for (const Command& command : commands) {
    text += zsh_command(command);
  }
  return text + "esac\n";
}

CommandLine declare_completion() {
  const auto shell = std::make_shared<std::string>();
  return {{{"shell",
            shell.get(),
            "For which shell: eval \"$(tiltfin completion bash)\" makes it known to this one",
            {.is_needed = true, .members = {"bash", "zsh"}}}},
          [shell] {
            print_text(*shell == "zsh" ? zsh_completion(commands()) : bash_completion(commands()));
            return fine;
          }};
}

} // namespace tiltfin
