#include "post/page/glyph.hpp"

#include "post/reports/tilt_solved.hpp"

#include <fmt/format.h>

namespace tiltfin {

std::string orientation_glyph(const std::string& orientation) {
  constexpr int step_deg = 15; // every angle that has a name is a multiple of it
  for (int angle = 0; angle < 360; angle += step_deg) {
    if (!orientation.empty() && name_of_tilt(angle) == orientation) {
      return fmt::format(R"(<svg class="glyph" viewBox="0 0 48 48" aria-hidden="true">)"
                         R"x(<g transform="rotate({} 24 24)"><path class="board" d="M15 7V41"/>)x"
                         R"(<path class="chip" d="M18 18V30"/>)"
                         R"(<path class="fins" d="M23 12V36M28 12V36M33 12V36"/></g></svg>)",
                         -angle);
    }
  }
  return "";
}

} // namespace tiltfin
