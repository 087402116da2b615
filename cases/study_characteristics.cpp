// open-circuit, short-circuit, zero-power-factor, and characteristics, which is all three and what follows from them.
#include "cases/characteristic_studies.h"
#include "cases/study_list.h"

namespace polepitch {
namespace {

using Steps = std::function<void(CharacteristicRun&)>;

StudyType study(std::string name, std::string sentence, std::vector<Parameter> parameters, bool field_winding_needed,
                bool loaded, const Steps& steps) {
  StudyType type;
  type.name = std::move(name);
  type.sentence = std::move(sentence);
  type.parameters = std::move(parameters);
  type.needs_rating = true;
  type.check = [=](const Case&, const Section& section, const Block& block) {
    check_characteristics(section, block, field_winding_needed);
  };
  type.run = [=](StudyContext& context, const Block& block) {
    CharacteristicRun run(context, read_characteristic_plan(block));
    steps(run);
    for (Construction& c : run.result.results.constructions) c.study = context.name;
    return std::move(run.result);
  };
  type.states = [=](const Case& kase, const Section& section, const Block& block) {
    return characteristic_states(kase, section, block, loaded);
  };
  return type;
}

}  // namespace

StudyType open_circuit_study() {
  return study("open-circuit",
               "No-load characteristic with air-gap line and saturation factors; waveform, harmonics and distortion of "
               "the voltage, and cogging, at rated voltage or of the magnets at rated speed.",
               open_circuit_parameters(), false, false, [](CharacteristicRun& run) { run.open_circuit(0, 1); });
}

StudyType short_circuit_study() {
  return study("short-circuit",
               "Sustained three-phase short circuit at rated speed: armature current against field current; of magnets "
               "the one current.",
               short_circuit_parameters(), false, true, [](CharacteristicRun& run) { run.short_circuit(); });
}

StudyType zero_power_factor_study() {
  return study("zero-power-factor",
               "Rated current at zero power factor, over-excited: terminal voltage against field current, from the "
               "short circuit on.",
               zero_power_factor_parameters(), true, true, [](CharacteristicRun& run) {
                 run.short_circuit();
                 run.zero_power_factor();
               });
}

StudyType characteristics_study() {
  return study(
      "characteristics",
      "The studies open-circuit, short-circuit and zero-power-factor in one, and what the standards construct "
      "from their curves: X_d unsaturated and saturated, short-circuit ratio, Potier's triangle and reactance, "
      "rated field current.",
      characteristics_parameters(), true, true, [](CharacteristicRun& run) {
        run.open_circuit(0, 0.5);
        run.short_circuit();
        run.context.progress(0.65);
        run.zero_power_factor();
        run.context.progress(0.95);
        run.constructions();
      });
}

}  // namespace polepitch
