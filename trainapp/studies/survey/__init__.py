"""The same train on many waters: a table of samples in, what the train makes of each out."""

from trainapp.studies.survey.run import Outcome, Said, Survey, survey
from trainapp.studies.survey.samples import Column, Samples, SurveyError, Water, read_samples, samples_of

__all__ = ["Column", "Outcome", "Said", "Samples", "Survey", "SurveyError", "Water", "read_samples", "samples_of", "survey"]
