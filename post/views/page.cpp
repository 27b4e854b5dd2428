#include "post/views/page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {

Turn turn_to_room(double gravity_x, double gravity_y) {
  const double length = std::hypot(gravity_x, gravity_y);
  if (length == 0.0) {
    return {};
  }
  // Turned, gravity is (c gx - s gy, s gx + c gy) = (0, -length).
  return {-gravity_y / length, -gravity_x / length};
}

std::string page_line(const PagePoint& a, const PagePoint& b, const std::string& attributes) {
  return fmt::format(R"x(<path d="M{:.2f} {:.2f}L{:.2f} {:.2f}" fill="none" {}/>)x"
                     "\n",
                     a.x, a.y, b.x, b.y, attributes);
}

PagePoint size_on_page(const PageView& view, const Rectangle& rectangle) {
  const double c = std::abs(view.turn.cosine);
  const double s = std::abs(view.turn.sine);
  return {view.scale * (c * rectangle.width() + s * rectangle.height()),
          view.scale * (s * rectangle.width() + c * rectangle.height())};
}

PageView fit_view(const Rectangle& seen, const Turn& turn, double width, double height) {
  PageView view;
  view.turn = turn;
  view.centre_x = 0.5 * (seen.x0 + seen.x1);
  view.centre_y = 0.5 * (seen.y0 + seen.y1);
  const PagePoint size = size_on_page(view, seen);
  view.scale = std::min(width / size.x, height / size.y);
  return view;
}

PagePoint to_page(const PageView& view, double x, double y) {
  const double dx = x - view.centre_x;
  const double dy = y - view.centre_y;
  return {view.middle.x + view.scale * (view.turn.cosine * dx - view.turn.sine * dy),
          view.middle.y - view.scale * (view.turn.sine * dx + view.turn.cosine * dy)};
}

std::string path_of(const PageView& view, const Rectangle& rectangle) {
  const std::array<PagePoint, 4> corners{
      to_page(view, rectangle.x0, rectangle.y0), to_page(view, rectangle.x1, rectangle.y0),
      to_page(view, rectangle.x1, rectangle.y1), to_page(view, rectangle.x0, rectangle.y1)};
  return fmt::format("M{:.2f} {:.2f}L{:.2f} {:.2f}L{:.2f} {:.2f}L{:.2f} {:.2f}Z", corners[0].x,
                     corners[0].y, corners[1].x, corners[1].y, corners[2].x, corners[2].y,
                     corners[3].x, corners[3].y);
}

std::string lines_along_y(const PageView& view, const Rectangle& rectangle, double spacing) {
  const int n = std::max(1, static_cast<int>(view.scale * rectangle.width() / spacing));
  std::string path;
  for (int k = 1; k < n; ++k) {
    const double x = rectangle.x0 + rectangle.width() * k / n;
    const PagePoint a = to_page(view, x, rectangle.y0);
    const PagePoint b = to_page(view, x, rectangle.y1);
    path += fmt::format("M{:.2f} {:.2f}L{:.2f} {:.2f}", a.x, a.y, b.x, b.y);
  }
  return path;
}

} // namespace tiltfin
