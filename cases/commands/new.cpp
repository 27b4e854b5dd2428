// tiltfin new: a case file to start from.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/file/starters.hpp"
#include "cases/input/input_error.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct NewArguments {
  std::string type;
  std::string file;
};

/// As a shell takes it for one word.
std::string shell_word(const std::string& path) {
  return path.find_first_of(" \t&;()$'*?") == std::string::npos ? path : '"' + path + '"';
}

int run_new(const NewArguments& arguments) {
  const std::string text = starter_text(arguments.type);
  if (arguments.file.empty()) {
    throw InputError(fmt::format("new {0}: found no file to write, needed: -o FILE, such as: "
                                 "tiltfin new {0} -o my.toml",
                                 arguments.type));
  }
  if (fs::exists(arguments.file)) {
    throw InputError(fmt::format("new {}: found {}, which is there already, allowed a new file: "
                                 "nothing is overwritten",
                                 arguments.type, arguments.file));
  }
  write_text(arguments.file, text);
  const fs::path results = fs::path("results") / fs::path(arguments.file).stem();
  print_text(fmt::format(
      "{0} holds a case of a {1}; its data are invented, its comments say what they are.\n"
      "Next:\n"
      "  tiltfin check {2}\n"
      "  tiltfin solve {2} -o {3}\n",
      arguments.file, arguments.type, shell_word(arguments.file), shell_word(results.string())));
  return fine;
}

} // namespace

CommandLine declare_new() {
  const auto arguments = std::make_shared<NewArguments>();
  return {
      {{"type", &arguments->type, "Cooler: block, ring or stack"},
       {"-o,--output", &arguments->file, "Case file to write; one that is there stays as it is"}},
      [arguments] { return run_new(*arguments); }};
}

} // namespace tiltfin
