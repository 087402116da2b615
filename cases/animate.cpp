#include "cases/animate.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <vector>

#include "cases/adaption.h"
#include "cases/interrupt.h"
#include "cases/run_studies.h"
#include "cases/scenes.h"
#include "post/atomic_file.h"
#include "post/figure_scene.h"
#include "post/gif_file.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

/// The names of the case's studies that keep fields, and the place of the one asked for.
size_t chosen_study(const Case& kase, const std::string& wanted) {
  const std::vector<std::string> names = study_names(kase);
  std::vector<std::string> moving;
  for (size_t i = 0; i < names.size(); ++i) {
    const auto type = std::find_if(study_types().begin(), study_types().end(),
                                   [&](const StudyType& t) { return t.name == kase.studies[i].type; });
    if (type == study_types().end() || !type->keeps_frames) continue;
    if (wanted.empty() || names[i] == wanted) return i;
    moving.push_back(names[i]);
  }
  std::vector<std::string> kinds;
  for (const StudyType& type : study_types())
    if (type.keeps_frames) kinds.push_back(type.name);
  if (moving.empty())
    throw InputError(fmt::format("{}: no study of the case keeps fields to animate", kase.path),
                     fmt::format("give it one of {}", fmt::join(kinds, ", ")));
  const std::string nearest = nearest_name(wanted, moving);
  throw UsageError(fmt::format("the case has no study \"{}\" that can be animated", wanted),
                   nearest.empty() ? fmt::format("there are: {}", fmt::join(moving, ", "))
                                   : fmt::format("did you mean \"{}\"?", nearest));
}

/// The case with one study alone, which keeps as many fields as there are frames.
Case with_one_study(Case kase, size_t study, int frames) {
  kase.studies = {kase.studies[study]};
  kase.output.values.set("field_angles", {frames, {}, true});
  return kase;
}

void remove_former_frames(const std::string& directory) {
  std::error_code fault;
  std::vector<fs::path> former;
  for (const auto& entry : fs::directory_iterator(directory, fault)) {
    const std::string name = entry.path().filename().string();
    if (name.size() == 13 && name.starts_with("frame_") && name.ends_with(".png")) former.push_back(entry.path());
  }
  for (const fs::path& path : former)
    if (!fs::remove(path, fault) && fault) throw FileError("cannot remove the former " + path.string());
}

/// Draws every frame and hands it on.
template <class Use>
void each_frame(const Case& kase, const StaticField& field, const Scene& scene, const AnimateRequest& request,
                Progress& progress, const Use& use) {
  const SceneScales scales = scene_scales(field.mesh(), scene);
  const std::string title = kase.title.empty() ? kase.name : kase.title;
  for (size_t k = 0; k < scene.frames.size(); ++k) {
    throw_if_interrupted();
    progress.update(static_cast<double>(k) / static_cast<double>(scene.frames.size()));
    // One point a pixel, on a page as large as the picture's share of it.
    use(k, draw_scene_figure(field, scene, k, scales, title, request.width, request.height));
  }
}

void write_frames(const Case& kase, const StaticField& field, const Scene& scene, const AnimateRequest& request,
                  const std::string& output, Progress& progress) {
  if (request.series) {
    make_directory(output);
    remove_former_frames(output);
    each_frame(kase, field, scene, request, progress, [&](size_t k, const Canvas& canvas) {
      write_file(fmt::format("{}/frame_{:03}.png", output, k), canvas.render(PictureFormat::png, 1));
    });
    return;
  }
  std::vector<Pixels> frames;
  each_frame(kase, field, scene, request, progress,
             [&](size_t, const Canvas& canvas) { frames.push_back(canvas.pixels(1)); });
  write_file(output, gif_bytes(frames, request.milliseconds));
}

}  // namespace

AnimateReport animate_case(const AnimateRequest& request, Progress& progress) {
  progress.start("reading");
  const Case whole = read_case(request.case_path);
  const size_t study = chosen_study(whole, request.study);
  AnimateReport report;
  report.study = study_names(whole)[study];
  report.output = !request.output.empty() ? request.output
                                          : whole.name + "-" + report.study + (request.series ? "-frames" : ".gif");
  const Case kase = with_one_study(whole, study, request.frames);
  const Section section = draw_section(kase.machine);
  check_studies(kase, section);
  progress.start("adapting the mesh");
  Results adaption;
  const CaseMeshes meshes = adapted_meshes(kase, section, adaption, [](const Mesh&) { throw_if_interrupted(); });
  // One mesh: a picture has no use for errors.
  const SolvedStudies solved = run_studies(kase, section, meshes.mesh, request.jobs, progress);
  const StudyResult& result = solved.studies.front();
  if (result.frames.size() < 2)
    throw InputError(fmt::format("{}: {} has a single field, which cannot move", kase.path, report.study),
                     "give the study more points, or choose another with --study");
  const StaticField field(section, meshes.mesh, kase.materials, solver_options(kase));
  const Scene scene = scene_of(field, mmf_moments(field), result, static_cast<size_t>(request.frames));
  progress.start("drawing");
  write_frames(kase, field, scene, request, report.output, progress);
  report.frames = static_cast<int>(scene.frames.size());
  report.axis = fmt::format("{} from {:.4g} to {:.4g}{}", scene.x_name, scene.frames.front().x, scene.frames.back().x,
                            scene.x_unit.empty() ? "" : " " + scene.x_unit);
  return report;
}

}  // namespace polepitch
