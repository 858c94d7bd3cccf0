#include "tools/report/page_steps.hpp"

#include <array>
#include <nlohmann/json.hpp>

#include "tools/report/advice_words.hpp"
#include "tools/report/scene/scene_json.hpp"
#include "tools/report/sheet.hpp"

namespace flitchwise::report {
namespace {

using Json = nlohmann::ordered_json;

/// In the order of Topic.
constexpr std::array<const char*, 8> kTopics = {"answer", "care",   "roll",     "ends",
                                                "rail",   "planes", "flitches", "boards"};

/// Keeps what the sheet says; sizes of text are paper's.
class StepList : public SheetOutput {
 public:
  void start(const std::string& title, Topic topic) override {
    steps_.push_back(
        {{"title", title}, {"topic", kTopics.at(static_cast<std::size_t>(topic))}, {"items", Json::array()}});
  }
  void heading(const std::string& words) override { add({{"kind", "heading"}, {"words", words}}); }
  void paragraph(const std::string& words, double /*size*/, bool bold) override {
    if (!words.empty()) {
      add({{"kind", "paragraph"}, {"words", words}, {"bold", bold}});
    }
  }
  void tick(const std::string& words, double /*size*/) override { add({{"kind", "tick"}, {"words", words}}); }
  void figure(const std::string& label, const std::string& words) override {
    add({{"kind", "figure"}, {"label", label}, {"words", words}});
  }
  void table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks,
             double /*size*/) override {
    Json heads = Json::array();
    for (const Column& column : columns) {
      heads.push_back({{"title", column.title}, {"right", column.right}});
    }
    add({{"kind", "table"}, {"columns", heads}, {"rows", rows}, {"ticks", ticks}});
  }
  void drawing(const Report& report, const Drawing& what) override {
    Json scenes = Json::array();
    for (const Scene& scene : scenes_of(report, what)) {
      scenes.push_back(scene_json(scene));
    }
    add({{"kind", "drawing"}, {"index", what.index}, {"scenes", scenes}});
  }
  void skip(double /*height*/) override {}

  /// For the desk, not for the log: the sheet leaves it out.
  void add_limits(const Report& report) {
    const auto limits = limit_words(report);
    Json& items = steps_.at(0)["items"];
    if (!limits.empty()) {
      items.push_back({{"kind", "heading"}, {"words", "What limits this plan"}});
    }
    for (const std::string& words : limits) {
      items.push_back({{"kind", "paragraph"}, {"words", words}, {"bold", false}});
    }
  }
  Json take() { return std::move(steps_); }

 private:
  void add(Json item) { steps_.back()["items"].push_back(std::move(item)); }
  Json steps_ = Json::array();
};

}  // namespace

Json steps_json(const Report& report) {
  StepList list;
  write_steps(list, report);
  list.add_limits(report);
  return list.take();
}

}  // namespace flitchwise::report
