#include "post/page/figure.hpp"

#include "post/views/svg.hpp"

#include <fmt/format.h>

namespace tiltfin {

std::string figure_html(const PageFigure& figure) {
  const std::string caption = xml_escaped(figure.caption);
  const std::string drawing = figure.is_inline ? figure.svg
                                               : fmt::format(R"(<img alt="{}" src="{}">)", caption,
                                                             svg_address(figure.svg));
  std::string text = fmt::format(R"(<figure data-name="{}">)"
                                 "\n",
                                 figure.name);
  // Wide images scroll in their own box on a narrow screen.
  text += figure.is_inline ? fmt::format("<div class=\"plate drawn\">{}</div>\n", drawing)
                           : fmt::format("<div class=\"plate\" tabindex=\"0\" role=\"group\" "
                                         "aria-label=\"{}\">{}</div>\n",
                                         caption, drawing);
  if (figure.chart) {
    text += fmt::format(R"(<div class="lively"><canvas role="img" aria-label="{}"></canvas></div>)"
                        "\n"
                        R"(<script type="application/json" class="chart-data">{}</script>)"
                        "\n",
                        caption, json_for_script(*figure.chart));
  }
  text += fmt::format("<figcaption>{}</figcaption>\n", caption);
  if (figure.table) {
    text += opening("The numbers", table_html(*figure.table));
  }
  return text + "</figure>\n";
}

} // namespace tiltfin
