#pragma once
// Options and words that several commands share.

#include "cases/bench/bench.hpp"
#include "cases/commands/command.hpp"

#include <string>
#include <vector>

namespace tiltfin {

[[nodiscard]] Option weights_option(std::vector<std::string>& weights);
[[nodiscard]] Option jobs_option(int& jobs, const std::string& help);

/// Which logs are read, and how.
[[nodiscard]] std::vector<Option> log_options(LogArguments& logs);

/// Text with parts from outside (titles, names, cells of logs), made printable, on stdout or
/// stderr. A failure to write throws nothing: it must not end a solve (check_output tells of it).
void print_text(const std::string& text);
void print_error(const std::string& text);

void print_line(const std::string& line); ///< on stderr

/// Says that what is finished is kept; the exit code.
[[nodiscard]] int say_interrupted();

} // namespace tiltfin
