#pragma once
// How often a drawing holds a piece of text.

#include <cstddef>
#include <string>

namespace tiltfin::tests {

inline std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t k = text.find(part); k != std::string::npos; k = text.find(part, k + 1)) {
    ++n;
  }
  return n;
}

} // namespace tiltfin::tests
