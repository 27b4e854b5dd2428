#include "post/views/name_groups.hpp"

#include <cctype>

namespace tiltfin {
namespace {

/// A name that may end in a number.
struct CountedName {
  std::string stem;
  long number = -1; ///< -1: no number at the end
};

CountedName counted(const std::string& name) {
  constexpr std::size_t most_digits = 9;
  std::size_t digits = name.size();
  while (digits > 0 && std::isdigit(static_cast<unsigned char>(name[digits - 1])) != 0) {
    --digits;
  }
  if (digits == name.size() || name.size() - digits > most_digits) {
    return {name, -1};
  }
  return {name.substr(0, digits), std::stol(name.substr(digits))};
}

} // namespace

std::string NameGroup::range() const {
  return members.size() == 1 ? first : first + " to " + last;
}

std::string NameGroup::plural() const {
  std::string stem = counted(first).stem;
  while (!stem.empty() && (stem.back() == '-' || stem.back() == '_' || stem.back() == ' ')) {
    stem.pop_back();
  }
  return stem + "s";
}

std::vector<NameGroup> grouped_names(const std::vector<std::string>& names) {
  std::vector<NameGroup> result;
  std::vector<char> is_told(names.size(), 0);
  for (std::size_t first = 0; first < names.size(); ++first) {
    if (is_told[first] != 0) {
      continue;
    }
    CountedName next = counted(names[first]);
    std::vector<std::size_t> run{first};
    for (std::size_t k = first + 1; k < names.size() && next.number >= 0; ++k) {
      const CountedName other = counted(names[k]);
      if (is_told[k] == 0 && other.stem == next.stem && other.number == next.number + 1) {
        next.number = other.number;
        run.push_back(k);
      }
    }
    if (run.size() < 3) {
      run.resize(1);
    }
    for (const std::size_t k : run) {
      is_told[k] = 1;
    }
    result.push_back({names[first], names[run.back()], run});
  }
  return result;
}

} // namespace tiltfin
