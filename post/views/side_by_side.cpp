#include "post/views/side_by_side.hpp"

#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

namespace tiltfin {
namespace {

constexpr double title_height = 46.0;
constexpr double label_height = 26.0;
constexpr double apart = 12.0;

void replace_all(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t place = text.find(from); place != std::string::npos;
       place = text.find(from, place + to.size())) {
    text.replace(place, from.size(), to);
  }
}

/// The number of `name="number"` in the head of a drawing; 0 when it is not there.
double number_in_head(const std::string& head, const std::string& name) {
  const std::size_t place = head.find(" " + name + "=\"");
  return place == std::string::npos ? 0.0 : std::strtod(&head[place + name.size() + 3], nullptr);
}

struct Placed {
  double width = 0.0;
  double height = 0.0;
  std::string body; ///< the <svg> element, without the line that declares the file
};

Placed placed(std::string svg, int number, double x, double y) {
  Placed result;
  const std::size_t start = svg.find("<svg ");
  if (start == std::string::npos) {
    return result;
  }
  svg.erase(0, start);
  const std::string head = svg.substr(0, svg.find('>'));
  result.width = number_in_head(head, "width");
  result.height = number_in_head(head, "height");
  replace_all(svg, " id=\"", fmt::format(" id=\"d{}-", number));
  replace_all(svg, "url(#", fmt::format("url(#d{}-", number));
  svg.insert(4, fmt::format(" x=\"{:.0f}\" y=\"{:.0f}\"", x, y));
  result.body = svg;
  return result;
}

} // namespace

std::string side_by_side(const std::string& title, const std::vector<LabelledDrawing>& drawings) {
  double x = 0.0;
  double height = 0.0;
  std::string body;
  for (std::size_t k = 0; k < drawings.size(); ++k) {
    const Placed drawing =
        placed(drawings[k].svg, static_cast<int>(k) + 1, x, title_height + label_height);
    body += drawing.body;
    body += svg_text(x + 44.0, title_height + label_height - 4.0, drawings[k].label,
                     {.size = 18.0, .is_bold = true});
    x += drawing.width + apart;
    height = std::max(height, drawing.height);
  }
  return svg_head(std::max(x - apart, 1.0), title_height + label_height + height, title) +
         svg_text(44.0, 32.0, title, {.size = 22.0, .is_bold = true}) + body + "</svg>\n";
}

} // namespace tiltfin
