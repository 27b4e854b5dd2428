#include "post/views/side_by_side.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double title_height = 46.0;
constexpr double label_height = 26.0;
constexpr double apart = 12.0;

} // namespace

Drawing side_by_side(const std::string& title, const std::vector<LabelledDrawing>& drawings) {
  double x = 0.0;
  double height = 0.0;
  std::string body = svg_text(44.0, 32.0, title, {.size = 22.0, .is_bold = true});
  for (const LabelledDrawing& labelled : drawings) {
    body += svg_inside(labelled.drawing, x, title_height + label_height);
    body += svg_text(x + 44.0, title_height + label_height - 4.0, labelled.label,
                     {.size = 18.0, .is_bold = true});
    x += std::nearbyint(labelled.drawing.width) + apart; // pages are whole pixels wide
    height = std::max(height, std::nearbyint(labelled.drawing.height));
  }
  return {std::max(x - apart, 1.0), title_height + label_height + height, title, body};
}

} // namespace tiltfin
