#pragma once
// The program as a person runs it: TILTFIN_PROGRAM is the path of the binary.

#include "tests/cases/tiny_case.hpp"

#include <csignal>
#include <cstddef>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tiltfin::tests {

/// Runs the program in `place`; what it prints goes to out.txt and err.txt there.
class Run {
public:
  Run(const std::filesystem::path& place, const std::vector<std::string>& arguments)
      : place_(place) {
    child_ = fork();
    if (child_ == 0) {
      std::vector<std::string> words{TILTFIN_PROGRAM};
      words.insert(words.end(), arguments.begin(), arguments.end());
      execute(TILTFIN_PROGRAM, words);
    }
  }

  /// The same from a line of a shell, in which $0 is the program.
  static Run in_shell(const std::filesystem::path& place, const std::string& line) {
    Run run(place);
    run.child_ = fork();
    if (run.child_ == 0) {
      run.execute("/bin/sh", {"sh", "-c", line, TILTFIN_PROGRAM});
    }
    return run;
  }

  void signal(int number) const { kill(child_, number); }

  /// Exit code; minus the signal's number when one ended it.
  [[nodiscard]] int end() const {
    int status = 0;
    waitpid(child_, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

  /// The same, and the largest memory that it held [KiB].
  [[nodiscard]] int end(long& peak_kib) const {
    int status = 0;
    rusage usage{};
    wait4(child_, &status, 0, &usage);
    peak_kib = usage.ru_maxrss;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

  [[nodiscard]] std::string out() const { return text_of(place_ / "out.txt"); }
  [[nodiscard]] std::string err() const { return text_of(place_ / "err.txt"); }

private:
  explicit Run(std::filesystem::path place) : place_(std::move(place)) {}

  [[noreturn]] void execute(const char* program, std::vector<std::string> words) const {
    const auto redirect = [&](const char* name, int target) {
      const int file = open((place_ / name).c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
      dup2(file, target);
    };
    redirect("out.txt", STDOUT_FILENO);
    redirect("err.txt", STDERR_FILENO);
    std::vector<char*> pointers;
    for (std::string& word : words) {
      pointers.push_back(word.data());
    }
    pointers.push_back(nullptr);
    if (chdir(place_.c_str()) == 0) {
      execv(program, pointers.data());
    }
    _exit(127);
  }

  std::filesystem::path place_;
  pid_t child_ = -1;
};

/// Files of this extension in a folder; none where it is not there.
inline std::size_t count_files(const std::filesystem::path& folder, const std::string& extension) {
  std::size_t n = 0;
  if (std::filesystem::exists(folder)) {
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
      n += entry.path().extension() == extension ? 1U : 0U;
    }
  }
  return n;
}

/// Rows of a csv file as cells.
inline std::vector<std::vector<std::string>> rows_of(const std::filesystem::path& path) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream text(text_of(path));
  for (std::string line; std::getline(text, line);) {
    std::vector<std::string> cells;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) {
      cells.push_back(cell);
    }
    rows.push_back(cells);
  }
  return rows;
}

/// What is in every file below a directory, by its path there.
inline std::map<std::string, std::string> all_files(const std::filesystem::path& directory) {
  std::map<std::string, std::string> files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(directory)) {
    if (entry.is_regular_file()) {
      files[std::filesystem::relative(entry.path(), directory).string()] = text_of(entry.path());
    }
  }
  return files;
}

} // namespace tiltfin::tests
